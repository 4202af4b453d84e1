package importer

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/importer/table"
)

func noneKnown(string) bool { return false }

// readAll is every row of the text; a fault ends it where it says so.
func readAll(in table.Rows) (all []table.Record, faults []*table.Fault) {
	for {
		r, err := in.Next()
		if errors.Is(err, io.EOF) {
			return all, faults
		}
		if err != nil {
			f := table.FaultOf(err)
			f.Line = r.Line
			faults = append(faults, f)
			if f.Ends {
				return all, faults
			}
			continue
		}
		all = append(all, table.Record{Line: r.Line, Cells: append([]string(nil), r.Cells...)})
	}
}

// The published suite csv-spectrum 2.0.0: each table with what it says as JSON.
func TestCSVSpectrum(t *testing.T) {
	t.Parallel()
	paths, err := filepath.Glob("testdata/csv-spectrum/*.csv")
	if err != nil || len(paths) != 11 {
		t.Fatalf("%d fixtures, want 11 (%v)", len(paths), err)
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			all, faults := readAll(newCSVRows(strings.NewReader(string(text)), noneKnown))
			if len(faults) > 0 {
				t.Fatal(faults[0])
			}
			got := []map[string]string{}
			for _, r := range all[1:] {
				row := map[string]string{}
				for i, name := range all[0].Cells {
					row[name] = r.Cells[i]
				}
				got = append(got, row)
			}
			var want []map[string]string
			fixture, err := os.ReadFile(strings.TrimSuffix(path, ".csv") + ".json")
			if err != nil {
				t.Fatal(err)
			}
			// A line end within quotation marks is read as LF.
			if err := json.Unmarshal([]byte(strings.ReplaceAll(string(fixture), `\r\n`, `\n`)), &want); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("rows (-want +got):\n%s", diff)
			}
		})
	}
}

// Lines are those of the file, also after rows of several lines (RFC 4180
// section 2.6), blank lines and a declared delimiter.
func TestLines(t *testing.T) {
	t.Parallel()
	const lf = "a,b\n1,\"x\ny\nz\"\n\n , \n2,\"\"\"q\"\"\"\n\"3\n\",c"
	want := []table.Record{{Line: 1, Cells: []string{"a", "b"}}, {Line: 2, Cells: []string{"1", "x\ny\nz"}}, {Line: 7, Cells: []string{"2", `"q"`}}, {Line: 8, Cells: []string{"3\n", "c"}}}
	for name, text := range map[string]string{"LF": lf, "CRLF": strings.ReplaceAll(lf, "\n", "\r\n")} {
		got, faults := readAll(newCSVRows(strings.NewReader(text), noneKnown))
		if diff := cmp.Diff(want, got, cmp.AllowUnexported(table.Record{})); diff != "" || faults != nil {
			t.Errorf("%s: rows (-want +got):\n%s%v", name, diff, faults)
		}
	}
	got, _ := readAll(newCSVRows(strings.NewReader("sep=;\r\na,1;b\r\n2;3\r\n"), noneKnown))
	declared := []table.Record{{Line: 2, Cells: []string{"a,1", "b"}}, {Line: 3, Cells: []string{"2", "3"}}}
	if diff := cmp.Diff(declared, got, cmp.AllowUnexported(table.Record{})); diff != "" {
		t.Errorf("after sep=; (-want +got):\n%s", diff)
	}
}

// One row with unpaired quotation marks is lost, and no more than can be told.
func TestUnpairedQuotationMarks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text  string
		rows  int
		lines []int
	}{
		{"a,b\n1,5\" wide\n2,x\n", 2, []int{2}},
		{"a,b\n1,\"x\" y\n2,x\n3,\"z\"z\n4,x\n", 3, []int{2, 4}},
		{"a,b\n1,\"never closed\n2,x\n", 1, []int{2}},
		{"a,b\n1,\"closed late\n2,\"x\n3,x\n", 1, []int{2}},
	} {
		all, faults := readAll(newCSVRows(strings.NewReader(c.text), noneKnown))
		var lines []int
		for _, f := range faults {
			lines = append(lines, f.Line)
		}
		if len(all) != c.rows || !cmp.Equal(lines, c.lines) {
			t.Errorf("%q: %d rows, faults in lines %v, want %d and %v", c.text, len(all), lines, c.rows, c.lines)
		}
	}
}

// endless is text that repeats itself up to a length.
type endless struct {
	text string
	left int64
	at   int
}

func (e *endless) Read(p []byte) (int, error) {
	if e.left <= 0 {
		return 0, io.EOF
	}
	n := copy(p, e.text[e.at:])
	e.at = (e.at + n) % len(e.text)
	e.left -= int64(n)
	return n, nil
}

// A line of 2 GB, and a quotation mark that swallows 2 GB of lines, end in a
// fault before they fill the memory.
func TestEndlessRow(t *testing.T) {
	for name, text := range map[string]string{
		"one line":      strings.Repeat("x", 4096),
		"many cells":    strings.Repeat("x,", 4096),
		"in quotes":     strings.Repeat("x\n", 4096),
		"blank lines":   strings.Repeat("\n", 4096),
		"no delimiters": strings.Repeat(" ", 4096),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		source := &endless{text: text, left: 2 << 30}
		start := "a,b\n1,"
		if name == "in quotes" {
			start += `"`
		}
		all, faults := readAll(newCSVRows(io.MultiReader(strings.NewReader(start), source), noneKnown))
		runtime.ReadMemStats(&after)
		if len(all) > 2 || len(faults) != 1 || faults[0].Code != standin.UnreadableFile || faults[0].Line < 2 {
			t.Errorf("%s: %d rows and faults %v", name, len(all), faults)
		}
		if read := 2<<30 - source.left; read > 4*longestRow {
			t.Errorf("%s: %d bytes were read before it was given up", name, read)
		}
		if taken := after.TotalAlloc - before.TotalAlloc; taken > 128<<20 {
			t.Errorf("%s: %d MiB allocated", name, taken>>20)
		}
	}
}

// A row of just the allowed length is read.
func TestLongRow(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("x", longestRow-chunk)
	all, faults := readAll(newCSVRows(strings.NewReader("a,b\n1,"+long+"\n2,"+long+"\n"), noneKnown))
	if len(all) != 3 || len(faults) != 0 || len(all[2].Cells[1]) != len(long) {
		t.Errorf("%d rows, faults %v", len(all), faults)
	}
}

func TestDelimiter(t *testing.T) {
	t.Parallel()
	known := func(name string) bool { return name == "layout" || name == "circuits" || name == "key" }
	for _, c := range []struct {
		sample string
		want   rune
	}{
		{"layout,circuits\na,b c\n", ','},
		{"layout;circuits\na;b\n", ';'},
		{"layout\tcircuits\r\na\tb\r\n", '\t'},
		{"layout", ','},
		{"", ','},
		{`"layout";"circuits, all";key` + "\na;\"x,y,z\";k\n", ';'},
		{`"layout,a,b,c";circuits` + "\n", ';'},
		{"layout;circuits,with,commas\n1;2\n", ';'},
		// no column is known: the next rows decide
		{"x,y;z\n1,2;3\n1;2\n4;5\n", ';'},
		{"a title, with a comma\nx;y\n1,5;2\n1,7;3\n", ';'},
		{"x;y,z\n1;2,3\n\"1,\n2\",2\n4,5\n", ','},
	} {
		if got := delimiterOf(c.sample, known); got != c.want {
			t.Errorf("delimiterOf(%q) = %q, want %q", c.sample, got, c.want)
		}
	}
}

func FuzzCSV(f *testing.F) {
	f.Add("a,b\n1,2\n")
	f.Add("a;b\r\n\"x\r\ny\";2")
	f.Add("sep=\t\na\tb\n\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		set, err := detect(strings.NewReader(text), utf8Set)
		if err != nil {
			return
		}
		decoded, err := set.decode(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		last := 0
		all, _ := readAll(newCSVRows(decoded, noneKnown))
		for _, r := range all {
			if r.Line <= last || table.Blank(r.Cells) {
				t.Fatalf("line %d after %d: %q", r.Line, last, r.Cells)
			}
			last = r.Line
		}
	})
}
