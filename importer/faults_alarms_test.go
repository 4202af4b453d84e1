package importer_test

import (
	"slices"
	"testing"

	"standin"
	"standin/importer"
	"standin/importer/generate"
	"standin/importer/importertest"
)

// slipCodes are the codes of findings about slips between a table and a bundle.
var slipCodes = []string{
	standin.Implausible, standin.OffByFactor, standin.ColumnChanged, standin.HalfChanged, standin.OtherColumn, standin.FilledDown, standin.LikelyMisspelt, standin.UsedOnce,
	standin.UnusedSymbol, standin.DayAndMonth, standin.OutsideSpan, standin.FactoryMisfit, standin.MixedLetters, standin.CutShort, standin.Shrunk,
}

// alarms are the findings about slips.
func alarms(report *importer.Report) (found []standin.Finding) {
	for _, f := range report.Findings {
		if slices.Contains(slipCodes, f.Code) {
			found = append(found, f)
		}
	}
	return found
}

// anotherFamily is the bundle that adds a family like one that is there, with boards
// and configurations like its own.
func anotherFamily(e exported, family string) exported {
	added := exported{}
	parts := map[string]bool{}
	for _, row := range e["boards"].rows {
		parts[row[0]] = row[e["boards"].at("family")] == family
	}
	for _, name := range []string{"families", "boards", "revisions", "ratings", "configurations"} {
		g := &grid{header: e[name].header}
		for _, row := range e[name].clone().rows {
			for i, column := range g.header {
				switch {
				case column == "family" && row[i] == family:
					row[i] += " Neo"
				case column == "part_number" && parts[row[i]]:
					row[i] += "N"
				case column == "gtin":
					row[i] = ""
				default:
					continue
				}
				if i == 0 {
					g.rows = append(g.rows, row)
				}
			}
		}
		added[name] = g
	}
	return added
}

// Of a clean catalogue, imported, imported again, and with a family more, fewer than
// one row in a thousand is warned of.
func TestFewFalseAlarms(t *testing.T) {
	t.Parallel()
	catalogues := map[string]exported{"demo": demonstration(t)}
	for seed := range uint64(3) {
		catalogues["generated "+string('a'+rune(seed))] = generated(generate.Catalogue{Models: 240, Configurations: 900 + 400*int(seed), Seed: seed})
	}
	rows, found := 0, 0
	step := func(t *testing.T, store standin.Imports, what string, e exported) {
		t.Helper()
		report, err := importer.Run(t.Context(), store, []string{importertest.Folder(t, e.bundle())}, importer.Options{By: "test"})
		importertest.Must(t, err)
		if !report.Committed {
			t.Fatalf("%s: %s", what, importertest.FindingLines(report))
		}
		rows += e.rowCount()
		for _, f := range alarms(report) {
			found++
			t.Logf("%s: %s:%d %s %s: %s", what, f.File, f.Line, f.Column, f.Code, f.Message)
		}
	}
	for name, e := range catalogues {
		store := openDatabase(t)
		step(t, store, name, e)
		step(t, store, name+" again", e)
		step(t, store, name+" with a family more", anotherFamily(e, e["families"].rows[1][0]))
	}
	t.Logf("%d warnings of %d rows", found, rows)
	if found*1000 >= rows {
		t.Errorf("%d warnings of %d clean rows", found, rows)
	}
}
