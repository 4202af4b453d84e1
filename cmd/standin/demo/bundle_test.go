package demo

import (
	"encoding/csv"
	"strings"
	"testing"
)

// rows are the rows of a file of the bundle, each by column.
func rows(t *testing.T, file string) []map[string]string {
	t.Helper()
	f, err := Bundle.Open(BundleDir + "/" + file + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, column := range records[0] {
			row[column] = record[i]
		}
		all = append(all, row)
	}
	return all
}

// A GTIN-13 that begins with 2 is for restricted circulation (GS1 General
// Specifications, prefixes 20 to 29, from memory): nobody's product has it.
func TestGTINsAreNobodys(t *testing.T) {
	t.Parallel()
	checked := 0
	for _, board := range rows(t, "boards") {
		if gtin := board["gtin"]; gtin != "" {
			checked++
			if len(gtin) != 13 || !strings.HasPrefix(gtin, "2") {
				t.Errorf("%s: GTIN %s is not one for restricted circulation", board["part_number"], gtin)
			}
		}
	}
	if checked == 0 {
		t.Error("no board has a GTIN")
	}
}
