package importer_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

// The rows that are staged, typed, with their lines.
func TestStagedRows(t *testing.T) {
	t.Parallel()
	store := &importertest.Store{}
	report := importertest.RunBundle(t, store, importertest.ValidBundle(t))
	if !report.Committed || report.Errors != 0 || report.Warnings != 0 {
		t.Fatalf("the valid bundle: %s", importertest.FindingLines(report))
	}
	day, absent := standin.NewDate, standin.Absent{}
	for name, want := range map[string]standin.Row{
		"sources":        {Line: 2, Cells: []any{"Sheet 7", "Set-up table, seventh issue", day(2003, 2, 1), nil}},
		"procedures":     {Line: 2, Cells: []any{"dial", "enter", int64(1), "Hold Start and turn the dial to 1, then let go", 5.0, `every lamp lights, "all on"`}},
		"families":       {Line: 2, Cells: []any{"Marl 3", "Dishwasher control", absent, absent, []string{"1", "2", "3", "4", "A", "B", "C"}, int64(3), []string{"L1", "L2", "L3", "L4"}, absent, absent, "dial", nil}},
		"layouts":        {Line: 2, Cells: []any{"harness A", "CN1", int64(3), 5.08, "left", []string{"mains-l", "mains-n", "."}}},
		"boards":         {Line: 2, Cells: []any{"MB-100", "Marl 3", absent, "Control MB-100", "6291041500213"}},
		"revisions":      {Line: 2, Cells: []any{"MB-100", "r1", int64(1), "board A", day(2000, 1, 1), day(2002, 6, 30), []string{}, 207.0, 253.0, []float64{50}, nil, nil}},
		"supersessions":  {Line: 2, Cells: []any{"MB-100", "MB-200", "one-way", day(2004, 1, 1), nil}},
		"models":         {Line: 2, Cells: []any{"Ondral", "DW 40", nil, "dishwasher", day(1999, 1, 1), day(2006, 12, 31), "230", []float64{50}, absent, "year and week"}},
		"builds":         {Line: 2, Cells: []any{"Ondral", "DW 40", nil, nil, "b1", day(2000, 1, 1), day(2001, 12, 31), int64(90), "1000", "50000", "MB-100", "r1", "harness A", []string{}, "Sheet 7"}},
		"configurations": {Line: 2, Cells: []any{"Marl 3", "Ondral", "DW 40", nil, nil, int64(1), int64(2), []string{"1", "A", "4"}, "10f-", "Sheet 7"}},
		"stock":          {Line: 2, Cells: []any{"front", "MB-100", "r1", "new", int64(2)}},
	} {
		if diff := cmp.Diff(want, store.Staged[name][0]); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
	if last := store.Staged["procedures"][4]; last.Line != 6 || last.Cells[3] != "Press Start\nand read the lamps" {
		t.Errorf("a row of two lines: %v", last)
	}
	if code := store.Staged["configurations"][1].Cells[7]; !cmp.Equal(code, []string{"2", "B", "3"}) {
		t.Errorf("an undelimited code: %v", code)
	}
}

// A row with a fault is staged as far as it can be believed, so that nothing
// else is found because of the fault.
func TestStagedFaults(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, file, old, new string
		row                  int // of the file as staged
		column               string
		want                 any
		rows                 int // staged of the file
	}{
		{"a bad cell is not recorded", "boards", "6291041500213", "629", 0, "gtin", nil, 4},
		{"a row without its key is left out", "boards", "MB-200,Marl", ",Marl", 1, "part_number", "TB-1", 3},
		{"a build with a bad date overlaps nothing", "builds", "2000,2001", "2000,1.1.01", 0, "made_from", standin.NewDate(9999, 12, 29), 2},
		{"a build with an open end and a bad date neither", "builds", "b2,2002,", "b2,'02,", 1, "made_to", standin.NewDate(9999, 12, 28), 2},
		{"nor one whose dates are exchanged", "builds", "2000,2001", "2001,2000", 0, "made_to", standin.NewDate(9999, 12, 29), 2},
		{"a configuration that lost the end of its range is left out", "configurations", ",1,2,", ",1,two,", 0, "code", []string{"2", "B", "3"}, 3},
		{"a supersession by itself is left out", "supersessions", "MB-100,MB-200", "MB-100,MB-100", -1, "", nil, 0},
		{"a revision without a part", "builds", "MB-100,r1", ",r1", 0, "revision", nil, 2},
		{"a half-named model of a twin", "twins", "Ondral,DW 40", "Ondral,", 0, "of_brand", nil, 1},
		{"nor a column of it", "twins", "of_model", "of", 0, "of_brand", nil, 1},
		{"of a row with too many cells its key alone", "boards", "Control MB-100", "Control, MB-100", 0, "title", standin.Absent{}, 4},
		{"nothing where nothing refers to it", "loads", "2000,,heating", "2000,,heating,,x", 0, "build", "b2", 1},
		{"volts the wrong way round", "revisions", "207,253,50,,", "253,207,50,,", 0, "volts_min", nil, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			bundle := importertest.ValidBundle(t)
			broken := strings.Replace(bundle[c.file+".csv"], c.old, c.new, 1)
			if broken == bundle[c.file+".csv"] {
				t.Fatalf("%q is not in %s", c.old, c.file)
			}
			bundle[c.file+".csv"] = broken
			store := &importertest.Store{}
			report := importertest.RunBundle(t, store, bundle)
			if report.Errors != 1 || report.Committed {
				t.Errorf("%d errors, committed %t: %s", report.Errors, report.Committed, importertest.FindingLines(report))
			}
			rows := store.Staged[c.file]
			if len(rows) != c.rows {
				t.Fatalf("%d rows are staged, want %d", len(rows), c.rows)
			}
			file, _ := standin.FileNamed(c.file)
			for i, column := range file.Columns {
				if column.Name == c.column && !cmp.Equal(rows[c.row].Cells[i], c.want) {
					t.Errorf("%s is staged as %v, want %v", c.column, rows[c.row].Cells[i], c.want)
				}
			}
		})
	}
}

func TestEndOfRun(t *testing.T) {
	t.Parallel()
	broken := map[string]string{"stock.csv": "location,part_number,condition,quantity\nfront,X-1,new,none\n"}
	good := map[string]string{"stock.csv": importertest.StockCSV}
	for _, c := range []struct {
		name    string
		bundle  map[string]string
		store   importertest.Store
		options importer.Options
		want    string
	}{
		{"good", good, importertest.Store{}, importer.Options{}, "check diff commit rollback"},
		{"only to be checked", good, importertest.Store{}, importer.Options{Check: true}, "check diff rollback"},
		{"an error of a row", broken, importertest.Store{}, importer.Options{}, "check rollback"},
		{"an error of the whole", good, importertest.Store{Found: []standin.Finding{{File: "stock.csv", Code: standin.DuplicateKey}}}, importer.Options{}, "check rollback"},
		{"a warning of the whole", good, importertest.Store{Found: []standin.Finding{{File: "stock.csv", Severity: standin.SeverityWarning}}}, importer.Options{}, "check diff commit rollback"},
	} {
		report, err := importer.Run(context.Background(), &c.store, []string{importertest.Folder(t, c.bundle)}, c.options)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(c.store.Ended, " "); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		if committed := strings.Contains(c.want, "commit"); report.Committed != committed {
			t.Errorf("%s: committed %t", c.name, report.Committed)
		}
	}
}

// The families of the store hold where the bundle has none of that name.
func TestStoredFamilies(t *testing.T) {
	t.Parallel()
	const header = "family,brand,model,code,pattern\n"
	store := &importertest.Store{Stored: map[string]standin.Family{"Marl": {Name: "Marl", Selector: []string{"A", "B"}, CodeLength: 2, Readback: []string{"L1"}}}}
	report := importertest.RunBundle(t, store, map[string]string{"configurations.csv": header + "Marl,X,1,AC,1\n"})
	if got := importertest.FindingLines(report); !strings.HasPrefix(got, `error configurations.csv:2 code unknown-symbol: "C" at place 2`) {
		t.Errorf("by the stored family: %s", got)
	}
	report = importertest.RunBundle(t, store, map[string]string{
		"families.csv":       "family,selector,code_length,readback\nMarl,A C,2,L1\n",
		"configurations.csv": header + "Marl,X,1,AC,1\n",
	})
	if report.Errors != 0 {
		t.Errorf("by the bundle's: %s", importertest.FindingLines(report))
	}
}

// What refers to a file that could not be read is not said to refer to nothing.
func TestNoFollowUps(t *testing.T) {
	t.Parallel()
	unknown := func(column string) standin.Finding {
		return standin.Finding{File: "builds.csv", Line: 2, Column: column, Code: standin.UnknownReference}
	}
	found := []standin.Finding{unknown("layout"), unknown("part_number"), {File: "builds.csv", Line: 3, Column: "layout", Code: standin.Overlap}}
	bundle := importertest.ValidBundle(t)
	bundle["layouts.csv"] = ""
	report := importertest.RunBundle(t, &importertest.Store{Found: found, Count: 5}, bundle)
	const want = "error layouts.csv:0 unreadable-file\nerror builds.csv:2 part_number unknown-reference\nerror builds.csv:3 layout overlap"
	var got []string
	for _, line := range strings.Split(importertest.FindingLines(report), "\n") {
		place, _, _ := strings.Cut(line, ": ")
		got = append(got, place)
	}
	if diff := cmp.Diff(want, strings.Join(got, "\n")); diff != "" || report.Errors != 5 {
		t.Errorf("%d errors, findings (-want +got):\n%s", report.Errors, diff)
	}
}

// A file that seems cut off is a warning, and an error where what it lacks would be
// removed, unless that is asked for.
func TestCutFileThatReplaces(t *testing.T) {
	t.Parallel()
	path := importertest.Folder(t, map[string]string{"stock.csv": strings.TrimSpace(importertest.StockCSV)})
	for _, c := range []struct {
		options          importer.Options
		errors, warnings int
	}{
		{importer.Options{}, 0, 1},
		{importer.Options{Replace: []string{"Marl"}}, 1, 0},
		{importer.Options{Replace: []string{"Marl"}, Shrink: true}, 0, 1},
	} {
		store := &importertest.Store{}
		report, err := importer.Run(t.Context(), store, []string{path}, c.options)
		importertest.Must(t, err)
		if report.Errors != c.errors || report.Warnings != c.warnings || store.Request.Shrink != c.options.Shrink {
			t.Errorf("%+v: %d errors, %d warnings, consent %t", c.options, report.Errors, report.Warnings, store.Request.Shrink)
		}
	}
}

// The first thousand findings are kept, errors before warnings, and the others counted.
func TestManyFindings(t *testing.T) {
	t.Parallel()
	var header, rows strings.Builder
	header.WriteString("location,part_number,condition,quantity")
	for i := range 1500 {
		fmt.Fprintf(&header, ",extra %d", i)
		fmt.Fprintf(&rows, "front,X-%d,new,none\n", i)
	}
	report := importertest.RunBundle(t, &importertest.Store{}, map[string]string{"stock.csv": header.String() + "\n" + rows.String()})
	if report.Errors != 1500 || report.Warnings != 1500 || len(report.Findings) != 1000 {
		t.Fatalf("%d errors, %d warnings, %d findings", report.Errors, report.Warnings, len(report.Findings))
	}
	if last := report.Findings[999]; last.Severity != standin.SeverityError || last.Line != 1001 {
		t.Errorf("the last finding is %+v", last)
	}
}

// A finding keeps little of a value, however long it is.
func TestLongValue(t *testing.T) {
	t.Parallel()
	report := importertest.RunBundle(t, &importertest.Store{}, map[string]string{
		"stock.csv": "location,part_number,condition,quantity\nfront,X,new," + strings.Repeat("9", 900_000) + "x\n"})
	if f := report.Findings[0]; len(f.Value) > 1000 || len(f.Message) > 1000 {
		t.Errorf("a value of %d bytes, a message of %d", len(f.Value), len(f.Message))
	}
}

func TestCancelled(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	store := &importertest.Store{}
	report, err := importer.Run(ctx, store, []string{importertest.Folder(t, importertest.ValidBundle(t))}, importer.Options{})
	if !errors.Is(err, context.Canceled) || report != nil || !cmp.Equal(store.Ended, []string{"rollback"}) {
		t.Errorf("report %v, error %v, store %v", report, err, store.Ended)
	}
}

// Reading a long file ends soon after the context, and nothing is committed.
func TestCancelledWhileReading(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	const rows = 100_000
	dir := importertest.Folder(t, map[string]string{"configurations.csv": configurations(rows)})
	store := &importertest.Sink{}
	store.Each = func() { cancel() }
	_, err := importer.Run(ctx, store, []string{dir}, importer.Options{})
	if !errors.Is(err, context.Canceled) || !cmp.Equal(store.Ended, []string{"rollback"}) {
		t.Errorf("error %v, store %v", err, store.Ended)
	}
	if store.Rows == 0 || store.Rows > rows/10 {
		t.Errorf("%d of %d rows are read", store.Rows, rows)
	}
}

// How each file was read, and the sentences for people.
func TestReport(t *testing.T) {
	t.Parallel()
	report := importertest.RunBundle(t, &importertest.Store{}, map[string]string{
		"sources.csv": "source;title\nS;M\xe4rz\n", "stock.csv": "location,part_number,condition,quantity,x\nfront,X-1,new,3.0\n"})
	var read []string
	for _, f := range report.Read {
		read = append(read, f.String())
	}
	if diff := cmp.Diff([]string{"sources.csv: 1 row (windows-1252, semicolon), without issued, note: these stay as recorded", "stock.csv: 1 row (UTF-8, comma)"}, read); diff != "" {
		t.Errorf("read (-want +got):\n%s", diff)
	}
	if got, want := report.Summary(), "1 error and 1 warning found; nothing is imported until the errors are corrected."; got != want {
		t.Errorf("summary %q, want %q", got, want)
	}
	left := importer.Report{Warnings: 2, Files: []standin.FileDiff{{File: "stock", LeftOut: 2}}}
	if got, want := left.Summary(), "0 errors and 2 warnings found; 2 lines of stock left out; the catalogue has the rest already, nothing changes."; got != want {
		t.Errorf("summary %q, want %q", got, want)
	}
	good := importertest.RunBundle(t, &importertest.Store{}, map[string]string{"stock.csv": importertest.StockCSV})
	if got, want := good.Summary(), "1 row added, 0 changed, 0 removed, as import 1."; got != want {
		t.Errorf("summary %q, want %q", got, want)
	}
}

// However a bundle is mangled, it is answered with findings, not with a panic.
func TestMangledBundles(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	bundle := importertest.ValidBundle(t)
	for range 100 {
		mangled := map[string]string{}
		for name, text := range bundle {
			b := []byte(text)
			for range random.IntN(6) {
				i := random.IntN(len(b))
				switch random.IntN(4) {
				case 0:
					b[i] = byte(random.IntN(256))
				case 1:
					b = append(b[:i], b[min(len(b), i+random.IntN(20)):]...)
				case 2:
					b = append(b[:i:i], append([]byte(`",;`)[:1+random.IntN(3)], b[i:]...)...)
				case 3:
					b = append(b, b[i:]...)
				}
				if len(b) == 0 {
					b = []byte("x")
				}
			}
			mangled[name] = string(b)
		}
		report := importertest.RunBundle(t, &importertest.Store{}, mangled)
		for _, f := range report.Findings {
			if f.File == "" || f.Code == "" || f.Message == "" {
				t.Fatalf("a finding without a place or a sentence: %+v", f)
			}
		}
	}
}

// Rows go through one at a time: a bundle of any size takes the same memory.
func TestBoundedMemory(t *testing.T) {
	const rows, between = 200_000, 20_000
	dir := importertest.Folder(t, map[string]string{"configurations.csv": configurations(rows)})
	store := &importertest.Sink{}
	var first, most uint64
	store.Each = func() {
		if store.Rows%between == 0 {
			most = max(most, importertest.LiveHeap())
			if first == 0 {
				first = most
			}
		}
	}
	if _, err := importer.Run(context.Background(), store, []string{dir}, importer.Options{}); err != nil {
		t.Fatal(err)
	}
	if store.Rows != rows || most > first+8<<20 {
		t.Errorf("over %d rows the heap grew from %d KiB to %d KiB", store.Rows, first>>10, most>>10)
	}
}
