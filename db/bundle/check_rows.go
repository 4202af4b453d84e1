package bundle

import (
	"fmt"
	"strconv"
	"strings"

	"standin"
)

// checkRepeats finds the rows whose key an earlier row of the bundle has.
var checkRepeats = check{sql: `SELECT place, ARRAY[first::text] || key AS cells FROM repeats`,
	say: func(in *inspection, cells []string) standin.Finding {
		first := placeText(cells[0])
		keys := in.files[first>>32].Keys()
		return standin.Finding{Code: standin.DuplicateKey, Column: keys[0], Value: keyText(cells[1:]),
			Message: fmt.Sprintf("this row has the same %s as %s", strings.Join(keys, ", "), in.at(first))}
	},
}

// checkPartKinds finds the parts that are both a board and an adaptor. The later
// row is at fault, or the only one that is in the bundle.
var checkPartKinds = check{sql: `SELECT CASE WHEN b.place > coalesce(a.place, -1) THEN b.place ELSE a.place END AS place,
		ARRAY[CASE WHEN b.place > coalesce(a.place, -1) THEN 'board' ELSE 'adaptor' END,
			CASE WHEN b.place > coalesce(a.place, -1) THEN 'adaptor' ELSE 'board' END,
			coalesce(least(a.place, b.place), -1)::text, a.part_number] AS cells
	FROM next_boards b JOIN next_adaptors a ON a.part_number = b.part_number`,
	say: func(in *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.DuplicateKey, Column: "part_number", Value: cells[3],
			Message: fmt.Sprintf("%s cannot be %s, because it is %s already", cells[3], article(cells[0]), article(cells[1]))}
	},
}

// checkRevisionAlone finds the builds that name a revision but no board.
var checkRevisionAlone = check{sql: `SELECT place, ARRAY[revision] AS cells FROM delta_builds WHERE op <> 'removed' AND revision <> '' AND part_number IS NULL`,
	say: func(_ *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.MissingValue, Column: "part_number",
			Message: fmt.Sprintf("the factory board's revision %s is recorded, but not its part number", cells[0])}
	},
}

// checkTwinData finds the rows of a file that belong to a twin, which may have none
// of its own. The row is at fault, or, where it is stored already, the row that
// makes its model a twin.
func checkTwinData(file string) check {
	return check{
		sql: fmt.Sprintf(`SELECT DISTINCT coalesce(d.place, t.place) AS place,
			ARRAY[d.brand, d.model, d.variant, t.of_brand, t.of_model, coalesce(t.of_variant, '')] AS cells
		FROM next_%s d JOIN next_twins t ON %s
		WHERE d.place IS NOT NULL OR t.place IS NOT NULL`, file, sameModel("d", "t")),
		say: func(_ *inspection, cells []string) standin.Finding {
			return standin.Finding{Code: standin.TwinWithData, Column: "model", Value: cells[1],
				Message: fmt.Sprintf("%s is a twin of %s and can have no %s of its own", modelText(cells[:3]), modelText(cells[3:]), file)}
		},
	}
}

func article(noun string) string {
	if noun == "adaptor" {
		return "an " + noun
	}
	return "a " + noun
}

// placeText reads a place that came through SQL as text.
func placeText(text string) int64 {
	place, _ := strconv.ParseInt(text, 10, 64) // it was a bigint
	return place
}
