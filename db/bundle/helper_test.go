package bundle

import (
	"encoding/csv"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5/pgxpool"

	"standin"
	"standin/db"
	"standin/db/dbtest"
)

// database is a catalogue, for questions, and where its bundles go in and come out.
type database struct {
	*db.DB
	*Store
	pool *pgxpool.Pool
}

// openAt opens the database at a URL.
func openAt(t testing.TB, url string) *database {
	t.Helper()
	catalogue, err := db.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(catalogue.Close)
	return &database{catalogue, NewStore(catalogue), catalogue.Pool()}
}

// openEmpty is a database of its own with the schema and nothing else.
func openEmpty(t testing.TB) *database {
	t.Helper()
	return openAt(t, dbtest.New(t))
}

// Bundles in these tests are texts: "-- boards.csv --" begins a file, its header
// and rows follow.

// whole is a valid bundle that uses every file and every reference.
const whole = `-- sources.csv --
source,title,issued,note
handbook,Service handbook,2004-03-01,
-- procedures.csv --
procedure,phase,step,do,hold_seconds,expect
dial,enter,1,hold both keys,5,all lit
dial,symbol,1,turn to the symbol,,
dial,finish,1,press start,2.5,
-- families.csv --
family,title,selector,code_length,readback,procedure,note
rotary,Rotary controls,A B C D,3,H M P,dial,
jumper,Jumper controls,,0,,,
-- layouts.csv --
layout,connector,ways,pitch_mm,key,circuits
harness-1,CN1,2,5,left,heater neutral
harness-1,CN2,3,2.5,,motor . neutral
board-1,CN1,2,5,left,heater neutral
-- adaptors.csv --
part_number,title,takes,gives
LOOM-1,Loom,harness-1,board-1
-- boards.csv --
part_number,family,title,gtin
PN-100,rotary,Old control,
PN-200,rotary,New control,
PN-300,,Fixed control,9638507
-- revisions.csv --
part_number,revision,issue,layout,made_from,made_to,options,volts_min,volts_max,hertz,procedure,stop
PN-100,A,1,board-1,2001-01-01,2003-12-31,none,207,253,50,,recalled
PN-200,A,1,board-1,,,steam drain,207,253,50 60,dial,
PN-200,B,2,,,,,,,,,
-- markings.csv --
marking,part_number,revision,note
Z-77,PN-100,A,on the bare board
Z-77,PN-200,,
-- ratings.csv --
part_number,revision,circuit,max_amps
PN-200,A,heater,10.5
-- supersessions.csv --
old_part,new_part,interchange,from,note
PN-100,PN-200,one-way,2004-01-01,
PN-200,PN-300,two-way,,
-- serial_rules.csv --
rule,pattern,year_base,note
year,^(?P<y2>\d\d),2000,
-- models.csv --
brand,model,variant,kind,made_from,made_to,volts,hertz,serial_rule
Aldor,W100,,washer,2001-01-01,2006-12-31,230,50,year
Aldor,W200,x,washer,,,,,
Bexley,Q1,,washer,,,,,
-- twins.csv --
brand,model,variant,of_brand,of_model,of_variant
Bexley,Q1,,Aldor,W100,
Corvin,K7,r,Aldor,W200,x
Corvin,K8,,Corvin,K7,r
-- builds.csv --
brand,model,variant,build,made_from,made_to,run_out_days,serial_from,serial_to,part_number,revision,layout,needs,source
Aldor,W100,,b1,2001-01-01,,30,,,PN-100,A,harness-1,none,handbook
Aldor,W100,,b2,2003-06-01,2004-12-31,,,,PN-200,,,steam,
Aldor,W100,,b3,2005-01-01,,,100,200,,,,,
-- loads.csv --
brand,model,variant,build,circuit,watts,volts,element
Aldor,W100,,,heater,2000,,heating
Aldor,W100,,b2,heater,1800,220,heating
-- configurations.csv --
family,brand,model,variant,build,issue_from,issue_to,code,pattern,source
rotary,Aldor,W100,,,,1,A B C,10-,handbook
rotary,Aldor,W100,,,2,,A B D,1f0,
rotary,Aldor,W100,,b2,,,B B D,,
jumper,Aldor,W200,x,,,,,,
-- presets.csv --
part_number,brand,model,variant,build
PN-300,Aldor,W100,,
PN-300,Aldor,W100,,b3
-- stock.csv --
location,part_number,revision,condition,quantity
front,PN-200,A,new,3
front,PN-200,,used,1
front,LOOM-1,,new,0
`

func openTx(t testing.TB, db *database, replace ...string) standin.ImportTx {
	t.Helper()
	tx, err := db.OpenImport(t.Context(), standin.ImportRequest{By: "tester", Bundle: "test", Replace: replace})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { tx.Rollback() })
	return tx
}

// put imports a bundle that has no faults.
func put(t testing.TB, db *database, bundle string, replace ...string) standin.Import {
	t.Helper()
	tx := openTx(t, db, replace...)
	stage(t, tx, bundle)
	if found := findings(t, tx); found != "" {
		t.Fatalf("the bundle has faults:\n%s", found)
	}
	made, err := tx.Commit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return made
}

// findings are the findings of what is staged, a line each.
func findings(t testing.TB, tx standin.ImportTx) string {
	t.Helper()
	found, total, err := tx.Check(t.Context(), 100)
	if err != nil {
		t.Fatal(err)
	}
	if total != len(found) {
		t.Errorf("%d findings are counted, %d shown", total, len(found))
	}
	var b strings.Builder
	for _, f := range found {
		fmt.Fprintf(&b, "%s:%d: %s %s=%q: %s", f.File, f.Line, f.Code, f.Column, f.Value, f.Message)
		if f.Correction != "" {
			fmt.Fprintf(&b, " [%s]", f.Correction)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// stage stages every file of a bundle.
func stage(t testing.TB, tx standin.ImportTx, bundle string) {
	t.Helper()
	for _, part := range strings.Split(bundle, "-- ")[1:] {
		name, text, _ := strings.Cut(part, " --\n")
		file, ok := standin.FileNamed(strings.TrimSuffix(name, ".csv"))
		if !ok {
			t.Fatalf("no file of a bundle is named %s", name)
		}
		if err := tx.Stage(t.Context(), file, name, rowsOf(t, file, text)); err != nil {
			t.Fatal(err)
		}
	}
}

func rowsOf(t testing.TB, file standin.File, text string) iter.Seq2[standin.Row, error] {
	t.Helper()
	table, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", file.Name, err)
	}
	at := columnsOf(t, file, table[0])
	return func(yield func(standin.Row, error) bool) {
		for i, record := range table[1:] {
			row := standin.Row{Line: i + 2}
			for j, c := range file.Columns {
				if at[j] < 0 {
					row.Cells = append(row.Cells, standin.Absent{})
					continue
				}
				row.Cells = append(row.Cells, cellOf(t, c, record[at[j]]))
			}
			if !yield(row, nil) {
				return
			}
		}
	}
}

// columnsOf says where the columns of a file stand in a header; -1: it has none.
func columnsOf(t testing.TB, file standin.File, header []string) []int {
	t.Helper()
	at := make([]int, len(file.Columns))
	found := 0
	for i, c := range file.Columns {
		if at[i] = slices.Index(header, c.Name); at[i] >= 0 {
			found++
		}
	}
	if found != len(header) {
		t.Fatalf("%s has the columns %q", file.Name, header)
	}
	return at
}

// cellOf is a cell as an importer would read it.
func cellOf(t testing.TB, c standin.Column, text string) any {
	if text == "" {
		return nil
	}
	switch c.Kind {
	case standin.Integer:
		return must(strconv.ParseInt(text, 10, 64))(t)
	case standin.Number:
		return must(strconv.ParseFloat(text, 64))(t)
	case standin.FromDate:
		return must(standin.ParseDate(text))(t).From.V
	case standin.ToDate:
		return must(standin.ParseDate(text))(t).To.V
	case standin.Words, standin.CodeCell:
		if c.None && text == "none" {
			return []string{}
		}
		return strings.Fields(text)
	case standin.Numbers:
		var numbers []float64
		for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '/' }) {
			numbers = append(numbers, must(strconv.ParseFloat(word, 64))(t))
		}
		return numbers
	}
	return text
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// contents is everything that is stored, as a bundle of which every file is
// sorted by its rows.
func contents(t testing.TB, db *database) string {
	t.Helper()
	var b strings.Builder
	for _, f := range standin.Files {
		rows, err := db.pool.Query(t.Context(), fmt.Sprintf("SELECT %s FROM bundle.%s b ORDER BY 1", cellTexts(f.Columns, "b"), f.Name))
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "-- %s.csv --\n%s\n", f.Name, strings.Join(columnNames(f), ","))
		for rows.Next() {
			var cells []string
			if err := rows.Scan(&cells); err != nil {
				t.Fatal(err)
			}
			fmt.Fprintln(&b, strings.Join(cells, ","))
		}
		if err := rows.Err(); err != nil {
			t.Fatal(err)
		}
	}
	return b.String()
}

// sorted is a bundle with the rows of every file in the order of contents.
func sorted(t testing.TB, bundle string) string {
	t.Helper()
	var b strings.Builder
	parts := strings.Split(bundle, "-- ")[1:]
	for _, f := range standin.Files {
		rows := []string{}
		for _, part := range parts {
			if name, text, _ := strings.Cut(part, " --\n"); name == f.Name+".csv" {
				lines := strings.Split(strings.TrimSpace(text), "\n")
				at := columnsOf(t, f, strings.Split(lines[0], ","))
				for _, line := range lines[1:] {
					rows = append(rows, inOrder(strings.Split(line, ","), at))
				}
			}
		}
		slices.SortFunc(rows, func(a, b string) int { return slices.Compare(strings.Split(a, ","), strings.Split(b, ",")) })
		fmt.Fprintf(&b, "-- %s.csv --\n%s\n", f.Name, strings.Join(columnNames(f), ","))
		for _, row := range rows {
			fmt.Fprintln(&b, row)
		}
	}
	return b.String()
}

// inOrder are cells in the order of the columns, empty where there is none.
func inOrder(cells []string, at []int) string {
	all := make([]string, len(at))
	for i, place := range at {
		if place >= 0 {
			all[i] = cells[place]
		}
	}
	return strings.Join(all, ",")
}

func header(file string) string {
	f, _ := standin.FileNamed(file)
	return strings.Join(columnNames(f), ",")
}
