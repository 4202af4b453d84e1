package bundle

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// twelve is a family of twelve boards with a revision, a rating and a header each, and
// two configurations.
func twelve() map[string][]string {
	files := map[string][]string{
		"families":       {"family,selector,code_length,readback", "rotary,A B C D,2,H M"},
		"layouts":        {"layout,connector,ways,pitch_mm,key"},
		"boards":         {"part_number,family"},
		"revisions":      {"part_number,revision,issue,layout,made_from"},
		"ratings":        {"part_number,revision,circuit,max_amps"},
		"models":         {"brand,model", "Aldor,W100", "Aldor,W200"},
		"configurations": {"family,brand,model,code,pattern", "rotary,Aldor,W100,A B,10", "rotary,Aldor,W200,A C,11"},
	}
	add := func(file, format string, args ...any) {
		files[file] = append(files[file], fmt.Sprintf(format, args...))
	}
	for i := range 12 {
		add("layouts", "board-%d,CN%[1]d,3,5,key-%[1]d", i)
		add("boards", "PN-%02d,rotary", i)
		add("revisions", "PN-%02d,A,%d,board-%[3]d,2003-04-%02[4]d", i, i+1, i, i+1)
		add("ratings", "PN-%02d,A,heater,%d", i, 10+i%3)
	}
	return files
}

// textOf is files of a bundle as one text.
func textOf(files map[string][]string, names ...string) string {
	var b strings.Builder
	for _, f := range standin.Files {
		for _, name := range names {
			if name == f.Name {
				fmt.Fprintf(&b, "-- %s.csv --\n%s\n", name, strings.Join(files[name], "\n"))
			}
		}
	}
	return b.String()
}

// changeCases are one file of the stored catalogue with something changed in lines.
var changeCases = []struct {
	name, file string
	from, to   int // lines
	old, new   string
	want       string
}{
	{"nothing", "ratings", 2, 1, "", "", ""},
	{"one rating ten times", "ratings", 3, 3, "heater,11", "heater,110",
		`ratings.csv:3 off-by-factor max_amps="110": 110 A is far from all others of heater, of which the nearest is 12 A: is the decimal point in its place, and the unit right?
ratings.csv:3 off-by-factor max_amps="110": 110 is 10 times what is recorded, 11: is the unit right?`},
	{"one rating a third more", "ratings", 3, 3, "heater,11", "heater,15", ""},
	{"a day and its month", "revisions", 7, 7, "2003-04-06", "2003-06-04",
		`revisions.csv:7 day-and-month made_from="2003-06-04": 2003-06-04 is what is recorded, 2003-04-06, with day and month exchanged: which is right?`},
	{"another day", "revisions", 7, 7, "2003-04-06", "2003-06-05", ""},
	{"a pitch in inches", "layouts", 4, 4, ",5,", ",0.197,",
		`layouts.csv:4 off-by-factor pitch_mm="0.197": 0.197 mm is far from all others, of which the nearest is 5 mm: is the decimal point in its place, and the unit right?
layouts.csv:4 off-by-factor pitch_mm="0.197": 0.197 is 1/25.4 of what is recorded, 5: is the unit right?`},
	{"a key of its own", "layouts", 4, 4, "key-2", "key-2x",
		`layouts.csv:4 used-once key="key-2x": the key of board-2, connector CN2, changes from key-2 to key-2x, which no other connector has: it would mate with nothing`},
	{"a key that another has", "layouts", 4, 4, "key-2", "key-3", ""},
	{"a code without its pattern", "configurations", 2, 2, "A B", "B B",
		`configurations.csv:2 half-changed code="B B": the code changes from A B to B B, but its pattern stays 10: it shows the code, so one of them is probably wrong`},
	{"a pattern without its code", "configurations", 2, 2, ",10", ",00",
		`configurations.csv:2 half-changed pattern="00": the pattern changes from 10 to 00, but its code stays A B: it shows the code, so one of them is probably wrong`},
	{"a code with its pattern", "configurations", 2, 2, "A B,10", "B B,00", ""},
	{"a pattern that is recorded no more", "configurations", 2, 2, "A B,10", "B B,", ""},
}

func TestChanges(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, textOf(twelve(), "families", "layouts", "boards", "revisions", "ratings", "models", "configurations"))
	for _, test := range changeCases {
		files := twelve()
		for line := test.from; line <= test.to; line++ {
			if !strings.Contains(files[test.file][line-1], test.old) {
				t.Fatalf("%s: line %d is %s", test.name, line, files[test.file][line-1])
			}
			files[test.file][line-1] = strings.Replace(files[test.file][line-1], test.old, test.new, 1)
		}
		if diff := cmp.Diff(test.want, changesFound(t, db, textOf(files, test.file))); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
	}
}

func changesFound(t *testing.T, db *database, bundle string) string {
	t.Helper()
	var lines []string
	for _, f := range warned(t, db, bundle) {
		if f.Code != standin.NoTaker {
			lines = append(lines, fmt.Sprintf("%s:%d %s %s=%q: %s", f.File, f.Line, f.Code, f.Column, f.Value, f.Message))
		}
	}
	return strings.Join(lines, "\n")
}

// What a slip does to a whole column is said once.
func TestColumnsThatChange(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, textOf(twelve(), "families", "layouts", "boards", "revisions", "ratings", "models", "configurations"))
	for _, test := range []struct {
		name, file string
		change     func(i int, cells []string) // of row i, counted from 0
		want       string
	}{
		{"ratings in milliamps", "ratings", func(_ int, cells []string) { cells[3] += "000" },
			`ratings.csv:2 column-changed max_amps="10000": 12 of the 12 values of max_amps that are recorded already would change, most to 1,000 times what they are: is it the right column, in the right unit and the right order?`},
		{"layouts down a row", "revisions", func(i int, cells []string) { cells[3] = fmt.Sprintf("board-%d", (i+11)%12) },
			`revisions.csv:2 column-changed layout="board-11": 12 of the 12 values of layout that are recorded already would change: is it the right column, in the right unit and the right order?`},
		{"half of them", "ratings", func(i int, cells []string) {
			if i%2 == 0 {
				cells[3] = "19"
			}
		}, `ratings.csv:2 column-changed max_amps="19": 6 of the 12 values of max_amps that are recorded already would change: is it the right column, in the right unit and the right order?`},
		{"fewer than half of them", "ratings", func(i int, cells []string) {
			if i%2 == 0 && i > 0 {
				cells[3] = "19"
			}
		}, ""},
		{"one value copied down", "ratings", func(i int, cells []string) {
			if i >= 4 && i < 7 {
				cells[3] = "19"
			}
		}, `ratings.csv:6 filled-down max_amps="19": this row and those below it, 3 in all, would change to one value after the other (19 to 19): was the column filled down?`},
		{"a series", "ratings", func(i int, cells []string) {
			if i >= 4 && i < 7 {
				cells[3] = fmt.Sprint(26 + i)
			}
		}, `ratings.csv:6 filled-down max_amps="30": this row and those below it, 3 in all, would change to one value after the other (30 to 32): was the column filled down?`},
		{"two of a kind", "ratings", func(i int, cells []string) {
			if i >= 4 && i < 6 {
				cells[3] = "19"
			}
		}, ""},
		{"keys and connectors exchanged", "layouts", func(_ int, cells []string) { cells[1], cells[4] = cells[4], cells[1] },
			`layouts.csv:2 other-column connector="key-0": 12 of the 12 new values of connector, such as key-0, are known as values of key: are the two columns exchanged?
layouts.csv:2 other-column key="CN0": 12 of the 12 new values of key, such as CN0, are known as values of connector: are the two columns exchanged?`},
	} {
		files := twelve()
		for i, line := range files[test.file][1:] {
			cells := strings.Split(line, ",")
			test.change(i, cells)
			files[test.file][i+1] = strings.Join(cells, ",")
		}
		if diff := cmp.Diff(test.want, changesFound(t, db, textOf(files, test.file))); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
	}
}

// A file with less than half of a family is warned of, and refused where it would
// replace the family, unless the request consents.
func TestShrunkFiles(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, textOf(twelve(), "families", "layouts", "boards", "revisions", "ratings", "models", "configurations"))
	const few = `ratings.csv:2 shrunk part_number="": the file has 5 of the 12 rows that are stored of family rotary: nothing is removed, but was the file cut off?`
	for _, test := range []struct {
		rows                  int
		want, replaced, agree string
	}{
		{6, "", "", ""},
		{5, few, "ratings.csv:2: shrunk part_number=\"\": the file has 5 of the 12 rows that are stored of family rotary: the others would be removed; say so (--shrink) where they are gone\n", ""},
	} {
		files := twelve()
		files["ratings"] = files["ratings"][:1+test.rows]
		bundle := textOf(files, "ratings")
		if diff := cmp.Diff(test.want, changesFound(t, db, bundle)); diff != "" {
			t.Errorf("%d rows (-want +got):\n%s", test.rows, diff)
		}
		for _, shrink := range []bool{false, true} {
			want := test.replaced
			if shrink {
				want = test.agree
			}
			tx, err := db.OpenImport(t.Context(), standin.ImportRequest{By: "tester", Replace: []string{"rotary"}, Shrink: shrink})
			if err != nil {
				t.Fatal(err)
			}
			stage(t, tx, bundle)
			if diff := cmp.Diff(want, findings(t, tx)); diff != "" {
				t.Errorf("%d rows in place of 12, consent %t (-want +got):\n%s", test.rows, shrink, diff)
			}
			if err := tx.Rollback(); err != nil {
				t.Fatal(err)
			}
		}
	}
}
