package db

import (
	"fmt"

	"standin"
)

// A family that changes may no longer suit the configurations that are stored
// for it. Those of the bundle itself are checked row by row as they are read; here
// it is those with no place in the bundle. The row of the family is at fault,
// once for each of its columns, with one of the models as an example.

func storedAgainst(fault, stated string) string {
	return `SELECT f.place, ARRAY[f.family, ` + stated + `, count(*)::text] || min(ARRAY[c.brand, c.model, c.variant]) AS cells
		FROM delta_families f JOIN next_configurations c ON c.family = f.family AND c.place IS NULL
		WHERE f.op <> 'removed' AND ` + fault + `
		GROUP BY f.place, f.family, f.code_length, f.readback, f.selector`
}

var checkFamilyCodes = check{sql: storedAgainst(`coalesce(cardinality(c.code), 0) <> f.code_length`, `f.code_length::text`),
	say: func(_ *importTx, cells []string) standin.Finding {
		return standin.Finding{Code: standin.WrongLength, Column: "code_length", Value: cells[1],
			Message: fmt.Sprintf("%s of family %s in the catalogue have codes of another length, the one for %s among them",
				configurations(cells[2]), cells[0], modelText(cells[3:]))}
	},
}

var checkFamilyPatterns = check{sql: storedAgainst(`length(c.pattern) <> coalesce(cardinality(f.readback), 0)`, `coalesce(array_to_string(f.readback, ' '), '')`),
	say: func(_ *importTx, cells []string) standin.Finding {
		return standin.Finding{Code: standin.WrongLength, Column: "readback", Value: cells[1],
			Message: fmt.Sprintf("%s of family %s in the catalogue have patterns for another number of points, the one for %s among them",
				configurations(cells[2]), cells[0], modelText(cells[3:]))}
	},
}

var checkFamilySymbols = check{sql: storedAgainst(`NOT c.code <@ f.selector`, `coalesce(array_to_string(f.selector, ' '), '')`),
	say: func(_ *importTx, cells []string) standin.Finding {
		return standin.Finding{Code: standin.UnknownSymbol, Column: "selector", Value: cells[1],
			Message: fmt.Sprintf("%s of family %s in the catalogue have symbols that are not on this selector, the one for %s among them",
				configurations(cells[2]), cells[0], modelText(cells[3:]))}
	},
}

func configurations(count string) string {
	if count == "1" {
		return "1 configuration"
	}
	return count + " configurations"
}
