package demo

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/importer"
)

// records are the header and the rows of a file of the bundle.
func records(t *testing.T, file string) [][]string {
	t.Helper()
	f, err := Bundle.Open(BundleDir + "/" + file + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// without returns records less a column, or with the cells of the column emptied.
func without(all [][]string, column string, emptied bool) [][]string {
	at := slices.Index(all[0], column)
	var less [][]string
	for i, record := range all {
		record = slices.Clone(record)
		switch {
		case !emptied:
			record = slices.Delete(record, at, at+1)
		case i > 0:
			record[at] = ""
		}
		less = append(less, record)
	}
	return less
}

// write writes records as a file of a bundle in a folder.
func write(t *testing.T, dir, file string, records [][]string) {
	t.Helper()
	f, err := os.Create(filepath.Join(dir, file+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	if err := csv.NewWriter(f).WriteAll(records); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

func take(t *testing.T, store *db.DB, dir string, o importer.Options) *importer.Report {
	t.Helper()
	report, err := importer.Run(t.Context(), bundle.NewStore(store), []string{dir}, o)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// Of every file and every column that is not of its key: the file without the column
// changes nothing; with empty cells it takes back what they had, a supply stop with
// consent alone, or is refused where that cannot be.
func TestEveryAbsentColumn(t *testing.T) {
	t.Parallel()
	store, all := catalogue(t), expectations(t)
	before := verdicts(answers(t, store, all))
	for _, f := range standin.Files {
		whole := records(t, f.Name)
		for _, name := range whole[0] {
			c, _ := f.Column(name)
			if c.Key {
				continue
			}
			dir := t.TempDir()
			write(t, dir, f.Name, without(whole, name, false))
			report := take(t, store, dir, importer.Options{})
			switch {
			case c.Required && (report.Errors != 1 || report.Findings[0].Code != standin.MissingColumn):
				t.Errorf("%s without %s: %+v", f.Name, name, report.Findings)
			case !c.Required && (!report.Committed || report.Import.ID != 0 || report.Files[0].Unchanged != len(whole)-1):
				t.Errorf("%s without %s: %s %+v", f.Name, name, report.Summary(), report.Findings)
			}
			write(t, dir, f.Name, without(whole, name, true))
			report = take(t, store, dir, importer.Options{Check: true})
			if c.Name == "stop" {
				if n := report.Errors; n != recorded(whole, name) || report.Findings[0].Code != standin.LiftedStop {
					t.Errorf("%d errors where stops would be lifted: %+v", n, report.Findings)
				}
				report = take(t, store, dir, importer.Options{Check: true, LiftStops: true})
				if lifted := standin.LiftedStops(report.Files); len(lifted) != recorded(whole, name) {
					t.Errorf("with consent %d stops are lifted", len(lifted))
				}
			}
			if report.Errors == 0 && report.Files[0].Changed != recorded(whole, name) {
				t.Errorf("%s with an empty %s changes %d rows, want %d", f.Name, name, report.Files[0].Changed, recorded(whole, name))
			}
		}
	}
	if diff := cmp.Diff(before, verdicts(answers(t, store, all))); diff != "" {
		t.Errorf("the answers change (-before +after):\n%s", diff)
	}
}

// verdicts are what is said of every candidate, machine by machine.
func verdicts(results []standin.Result) []string {
	var all []string
	for _, r := range results {
		all = append(all, fmt.Sprint(r.Err))
		if r.Answer == nil {
			continue
		}
		for _, c := range r.Answer.Candidates {
			said := name(&c) + ": " + string(c.Verdict)
			for _, b := range c.Builds {
				said += fmt.Sprintf("; %s %s %v %s", b.Build, b.Verdict, b.Code, b.Pattern)
			}
			all = append(all, said)
		}
	}
	return all
}

// recorded is the number of rows that record something in a column.
func recorded(all [][]string, column string) int {
	at, n := slices.Index(all[0], column), 0
	for _, record := range all[1:] {
		if record[at] != "" {
			n++
		}
	}
	return n
}

// Whatever columns and files a bundle lacks, no answer changes: what was no or to be
// checked does not become what fits.
func TestAbsentColumnsChangeNoAnswer(t *testing.T) {
	t.Parallel()
	store, all := catalogue(t), expectations(t)
	before := verdicts(answers(t, store, all))
	d := rand.New(rand.NewPCG(11, 0))
	for range 8 {
		dir := t.TempDir()
		var lacks []string
		for _, f := range standin.Files {
			less := records(t, f.Name)
			for _, c := range f.Columns {
				if !c.Key && !c.Required && slices.Contains(less[0], c.Name) && d.IntN(2) == 0 {
					less, lacks = without(less, c.Name, false), append(lacks, f.Name+"."+c.Name)
				}
			}
			d.Shuffle(len(less)-1, func(i, j int) { less[1+i], less[1+j] = less[1+j], less[1+i] })
			if d.IntN(5) > 0 {
				write(t, dir, f.Name, less[:1+d.IntN(len(less))])
			}
		}
		if report := take(t, store, dir, importer.Options{}); !report.Committed || report.Import.ID != 0 {
			t.Errorf("without %v: %s %+v", lacks, report.Summary(), report.Findings)
		}
	}
	if diff := cmp.Diff(before, verdicts(answers(t, store, all))); diff != "" {
		t.Errorf("the answers change (-before +after):\n%s", diff)
	}
}
