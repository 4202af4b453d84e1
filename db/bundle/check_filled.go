package bundle

import (
	"fmt"

	"standin"
)

// The importer checks the cells of a row against each other. Where a table lacks one
// of two columns, the cell of the other meets what is stored, which only these checks
// see.

// filledChecks returns the checks of what is filled in, for the files with rows that
// lack one of the columns concerned.
func (t *importTx) filledChecks() []check {
	var checks []check
	for _, c := range apart {
		if t.lacks(c.file, c.kept) {
			checks = append(checks, c.check())
		}
	}
	for _, c := range against {
		if t.lacks(c.file, c.columns[:]...) {
			checks = append(checks, c.check())
		}
	}
	if t.lacks("configurations", "code") {
		checks = append(checks, checkCodeThere)
	}
	return checks
}

// lacks reports whether a file changes and some of its rows lack one of the columns.
func (t *importTx) lacks(file string, columns ...string) bool {
	return t.changes(file) && t.absent[file]&bitsOf(file, columns...) != 0
}

// part is a column that says something only together with others: what is stored of it
// says nothing once they change.
type part struct {
	file   string
	kept   string   // the column
	of     []string // the others
	reason string   // why it cannot be kept; %s is its value
}

var apart = []part{
	{"twins", "of_variant", []string{"of_brand", "of_model"}, "the variant that is recorded, %s, is one of another model"},
	{"builds", "revision", []string{"part_number"}, "the revision that is recorded, %s, is one of another board"},
	{"configurations", "pattern", []string{"code"}, "the pattern that is recorded, %s, proves another code"},
}

// check finds the rows that change what an absent column belongs to. To keep its value
// would be a guess, and to drop it something that nobody said.
func (p part) check() check {
	file, _ := standin.FileNamed(p.file)
	kept, _ := file.Column(p.kept)
	of := p.of[len(p.of)-1]
	ofColumn, _ := file.Column(of)
	return check{sql: fmt.Sprintf(`SELECT place, ARRAY[%s, %s] AS cells FROM delta_%s d
			WHERE op = 'changed' AND absent & %d <> 0 AND %s IS NOT NULL AND (%s) IS DISTINCT FROM (%s)`,
		cellText(ofColumn, "d"), cellText(kept, "d"), p.file, bitOf(file, p.kept), qualified("d", p.kept),
		columnListOf(p.of, "d"), columnListOf(p.of, "(d.old)")),
		say: func(_ *inspection, cells []string) standin.Finding {
			return standin.Finding{Code: standin.MissingColumn, Column: of, Value: cells[0],
				Message: fmt.Sprintf("%s changes, but there is no column %s, and "+p.reason+"; add the column, with an empty cell where it is not known",
					of, p.kept, cells[1])}
		},
	}
}

// pair is two columns of a file, and the condition under which a row is wrong in them.
type pair struct {
	file    string
	columns [2]string
	wrong   string // of the row d
	code    string
	reason  string // of the cells of both
}

// aboveIn is the condition that the first of two columns is above the second.
func aboveIn(low, high string) string { return qualified("d", low) + " > " + qualified("d", high) }

// serialsCrossed compares serials as numbers where both are all digits, else as text
// of equal length.
const serialsCrossed = `CASE WHEN d.serial_from ~ '^[0-9]+$' AND d.serial_to ~ '^[0-9]+$' THEN d.serial_from::numeric > d.serial_to::numeric
	ELSE length(d.serial_from) = length(d.serial_to) AND d.serial_from COLLATE "C" > d.serial_to COLLATE "C" END`

// otherPoints compares the names on a panel with the read-back points.
const otherPoints = `d.panel IS NOT NULL AND ARRAY(SELECT w FROM unnest(d.panel) w WHERE w <> '/' ORDER BY w)
	IS DISTINCT FROM ARRAY(SELECT w FROM unnest(d.readback) w ORDER BY w)`

var against = []pair{
	{"families", [2]string{"alphabet", "readback"},
		"d.alphabet IS NOT NULL AND (d.readback IS NULL OR cardinality(d.alphabet) NOT IN (1, cardinality(d.readback)))",
		standin.WrongLength, "the alphabets are %s and the read-back points %s; there is one alphabet for all, or one a point"},
	{"families", [2]string{"panel", "readback"}, otherPoints, standin.BadValue,
		"the panel is %s and the read-back points are %s; each point is on the panel once"},
	{"layouts", [2]string{"ways", "circuits"}, "cardinality(d.circuits) <> d.ways",
		standin.WaysMismatch, "there are %s ways, but the circuits are %s; there is one a pin"},
	{"revisions", [2]string{"made_from", "made_to"}, aboveIn("made_from", "made_to"), standin.BadValue, madeCrossed},
	{"revisions", [2]string{"volts_min", "volts_max"}, aboveIn("volts_min", "volts_max"), standin.BadValue,
		"volts_min is %s, above volts_max, which is %s"},
	{"models", [2]string{"made_from", "made_to"}, aboveIn("made_from", "made_to"), standin.BadValue, madeCrossed},
	{"builds", [2]string{"made_from", "made_to"}, aboveIn("made_from", "made_to"), standin.BadValue, madeCrossed},
	{"builds", [2]string{"serial_from", "serial_to"}, serialsCrossed, standin.BadValue,
		"serial_from is %s, after serial_to, which is %s"},
	{"loads", [2]string{"ohms_low", "ohms_high"}, aboveIn("ohms_low", "ohms_high"), standin.BadValue,
		"ohms_low is %s, above ohms_high, which is %s"},
}

const madeCrossed = "made_from is %s, after made_to, which is %s"

// check finds the rows in which a cell conflicts with what is recorded in an absent
// column.
func (p pair) check() check {
	file, _ := standin.FileNamed(p.file)
	a, _ := file.Column(p.columns[0])
	b, _ := file.Column(p.columns[1])
	first := bitOf(file, a.Name)
	return check{sql: fmt.Sprintf(`SELECT place, ARRAY[%s, %s, (absent & %d <> 0)::text] AS cells FROM delta_%s d
			WHERE op <> 'removed' AND absent & %d <> 0 AND %s`,
		cellText(a, "d"), cellText(b, "d"), first, p.file, first|bitOf(file, b.Name), p.wrong),
		say: func(_ *inspection, cells []string) standin.Finding {
			there, absent, value := a.Name, b.Name, cells[0]
			if cells[2] == "true" {
				there, absent, value = b.Name, a.Name, cells[1]
			}
			return standin.Finding{Code: p.code, Column: there, Value: value,
				Message: fmt.Sprintf(p.reason, cells[0], cells[1]) + fmt.Sprintf("; there is no column %s, so what is recorded of it stays", absent)}
		},
	}
}

// checkCodeThere finds the new configurations without a column for the code that their
// family needs.
var checkCodeThere = check{sql: fmt.Sprintf(`SELECT d.place, ARRAY[d.family, f.code_length::text] AS cells
		FROM delta_configurations d JOIN next_families f ON f.family = d.family
		WHERE d.op = 'added' AND d.absent & %d <> 0 AND f.code_length > 0`, bitsOf("configurations", "code")),
	say: func(_ *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.MissingColumn, Column: "family", Value: cells[0],
			Message: fmt.Sprintf("the configuration is new, and a code of family %s has %s; add the column code", cells[0], symbols(cells[1]))}
	},
}

func symbols(count string) string {
	if count == "1" {
		return "1 symbol"
	}
	return count + " symbols"
}
