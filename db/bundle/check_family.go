package bundle

import (
	"fmt"

	"standin"
)

// A family that changes may no longer suit the configurations that are stored for
// it. What the bundle itself says of them is checked row by row as it is read; here
// what is stored is, of those with no place in the bundle or without a column. The row of the family is at fault, once
// for each of its columns, with one of the models as an example.

// storedAgainst selects the families of the bundle with configurations for which the
// condition fault holds and whose value in a column is stored. stated is the cell at
// fault.
func (t *importTx) storedAgainst(column, fault, stated string) string {
	stored := "c.place IS NULL"
	if bit := bitsOf("configurations", column); t.lacks("configurations", column) {
		stored = fmt.Sprintf("(%s OR c.place IN (SELECT place FROM delta_configurations WHERE absent & %d <> 0))", stored, bit)
	}
	return `SELECT f.place, ARRAY[f.family, ` + stated + `, count(*)::text] || min(ARRAY[c.brand, c.model, c.variant]) AS cells
		FROM delta_families f JOIN next_configurations c ON c.family = f.family AND ` + stored + `
		WHERE f.op <> 'removed' AND ` + fault + `
		GROUP BY f.place, f.family, f.code_length, f.readback, f.selector, f.alphabet`
}

func (t *importTx) checkFamilyCodes() check {
	return check{sql: t.storedAgainst("code", `coalesce(cardinality(c.code), 0) <> f.code_length`, `f.code_length::text`),
		say: func(_ *inspection, cells []string) standin.Finding {
			return standin.Finding{Code: standin.WrongLength, Column: "code_length", Value: cells[1],
				Message: storedHave(cells) + " a code of another length"}
		},
	}
}

func (t *importTx) checkFamilyPatterns() check {
	return check{sql: t.storedAgainst("pattern", `length(c.pattern) <> coalesce(cardinality(f.readback), 0)`, `coalesce(array_to_string(f.readback, ' '), '')`),
		say: func(_ *inspection, cells []string) standin.Finding {
			return standin.Finding{Code: standin.WrongLength, Column: "readback", Value: cells[1],
				Message: storedHave(cells) + " a pattern for another number of points"}
		},
	}
}

func (t *importTx) checkFamilySymbols() check {
	return check{sql: t.storedAgainst("code", `NOT c.code <@ f.selector`, `coalesce(array_to_string(f.selector, ' '), '')`),
		say: func(_ *inspection, cells []string) standin.Finding {
			return standin.Finding{Code: standin.UnknownSymbol, Column: "selector", Value: cells[1],
				Message: storedHave(cells) + " a symbol that is not on this selector"}
		},
	}
}

// The characters a read-back point may show, by the word of the bundle: see
// standin.ParseAlphabet.
const pointCharacters = `CASE w.word WHEN 'lamp' THEN '10f-' WHEN 'digit' THEN '0123456789-'
	WHEN 'sign' THEN '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-'
	ELSE '0-' || (SELECT string_agg(left(colour, 1), '') FROM unnest(string_to_array(w.word, '-')) colour) END`

func (t *importTx) checkFamilyAlphabets() check {
	return check{sql: t.storedAgainst("pattern", `EXISTS (
				SELECT FROM generate_series(1, length(c.pattern)) AS at (n),
					LATERAL (SELECT CASE coalesce(cardinality(f.alphabet), 0) WHEN 0 THEN 'lamp' WHEN 1 THEN f.alphabet[1] ELSE f.alphabet[n] END) AS w (word)
				WHERE strpos(`+pointCharacters+`, substr(c.pattern, n, 1)) = 0)`, `coalesce(array_to_string(f.alphabet, ' '), '')`),
		say: func(_ *inspection, cells []string) standin.Finding {
			return standin.Finding{Code: standin.BadValue, Column: "alphabet", Value: cells[1],
				Message: storedHave(cells) + " a pattern with a character that is not on this alphabet"}
		},
	}
}

// storedHave returns the beginning of a sentence about the configurations counted.
func storedHave(cells []string) string {
	family, example := cells[0], modelText(cells[3:])
	if cells[2] == "1" {
		return fmt.Sprintf("the configuration of family %s for %s in the catalogue has", family, example)
	}
	return fmt.Sprintf("%s configurations of family %s in the catalogue, such as the one for %s, have", cells[2], family, example)
}
