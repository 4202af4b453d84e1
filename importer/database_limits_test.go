package importer_test

import (
	"strings"
	"testing"

	"standin/importer/importertest"
)

// The largest keys and numbers that are accepted can be stored, whatever they are
// made of; what is larger is an error at its place.
func TestLimitsOnDatabase(t *testing.T) {
	t.Parallel()
	wide := func(n int) string { // of four bytes each, and no two alike, so that nothing is compressed
		var text strings.Builder
		for i := range n {
			text.WriteRune(rune(0x20000 + i*7919%40_000))
		}
		return text.String()
	}
	models := func(n int) map[string]string {
		key := wide(n) + "," + wide(n) + "," + wide(n)
		return map[string]string{
			"models.csv":   "brand,model,variant,volts\n" + key + ",1000000000\n",
			"builds.csv":   "brand,model,variant,build,run_out_days\n" + key + "," + wide(n) + ",1000000000\n",
			"boards.csv":   "part_number,title\n" + wide(n) + "," + strings.Repeat("x", 5000) + "\n",
			"markings.csv": "marking,part_number\n" + wide(n) + "," + wide(n) + "\n",
			"families.csv": "family,code_length\n" + wide(n) + ",99\n",
		}
	}
	store := openDatabase(t)
	if report := importertest.RunBundle(t, store, models(200)); !report.Committed {
		t.Errorf("200 characters: %s", importertest.FindingLines(report))
	}
	report := importertest.RunBundle(t, store, models(202))
	if report.Errors != 11 || !strings.Contains(importertest.FindingLines(report), "models.csv:2 variant bad-value: ") ||
		!strings.Contains(importertest.FindingLines(report), "has 202 characters; a variant has at most 200") {
		t.Errorf("202 characters: %d errors\n%s", report.Errors, importertest.FindingLines(report))
	}
	report = importertest.RunBundle(t, store, map[string]string{
		"builds.csv":     "brand,model,variant,build,run_out_days\nA,B,,b1,2147483648\n",
		"revisions.csv":  "part_number,revision,issue\nP,A,3000000000\n",
		"procedures.csv": "procedure,phase,step\np,enter,99999999999999999999\n",
		"families.csv":   "family,code_length\nf,100\n",
		"models.csv":     "brand,model\nA,B\n", "boards.csv": "part_number\nP\n",
	})
	for _, place := range []string{"builds.csv:2 run_out_days", "revisions.csv:2 issue", "procedures.csv:2 step", "families.csv:2 code_length"} {
		if !strings.Contains(importertest.FindingLines(report), "error "+place+" bad-value: ") {
			t.Errorf("%s is not said to be too large:\n%s", place, importertest.FindingLines(report))
		}
	}
}
