package bundle

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// table is one file of a bundle in these tests.
type table struct {
	name    string
	columns []string
	rows    [][]string
}

func (b table) String() string {
	var text strings.Builder
	fmt.Fprintf(&text, "-- %s.csv --\n", b.name)
	w := csv.NewWriter(&text)
	_ = w.WriteAll(append([][]string{b.columns}, b.rows...)) // a Builder takes everything
	return text.String()
}

// without returns the table less a column.
func (b table) without(column string) table {
	at := slices.Index(b.columns, column)
	less := table{name: b.name, columns: slices.Delete(slices.Clone(b.columns), at, at+1)}
	for _, row := range b.rows {
		less.rows = append(less.rows, slices.Delete(slices.Clone(row), at, at+1))
	}
	return less
}

// emptied returns the table with a column in which no cell says anything.
func (b table) emptied(column string) table {
	at := slices.Index(b.columns, column)
	empty := table{name: b.name, columns: b.columns}
	for _, row := range b.rows {
		row = slices.Clone(row)
		row[at] = ""
		empty.rows = append(empty.rows, row)
	}
	return empty
}

// storedTables are all files as they are stored, as tables of a bundle.
func storedTables(t testing.TB, db *database) []table {
	t.Helper()
	var all []table
	for _, f := range standin.Files {
		b := table{name: f.Name, columns: columnNames(f)}
		rows, err := db.pool.Query(t.Context(), fmt.Sprintf("SELECT %s FROM bundle.%s b ORDER BY 1", cellTexts(f.Columns, "b"), f.Name))
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			var cells []string
			if err := rows.Scan(&cells); err != nil {
				t.Fatal(err)
			}
			b.rows = append(b.rows, cells)
		}
		if err := rows.Err(); err != nil {
			t.Fatal(err)
		}
		all = append(all, b)
	}
	return all
}

// Of every file and every column: a table without the column leaves what is recorded
// alone, one with empty cells takes it back, except a supply stop.
func TestAbsentColumns(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	before := contents(t, db)
	for _, b := range storedTables(t, db) {
		f, _ := standin.FileNamed(b.name)
		for _, c := range f.Columns {
			if c.Key {
				continue
			}
			at := slices.Index(b.columns, c.Name)
			recorded := slices.ContainsFunc(b.rows, func(row []string) bool { return row[at] != "" })
			tx := openTx(t, db)
			stage(t, tx, b.without(c.Name).String())
			if found := findings(t, tx); found != "" {
				t.Errorf("%s without %s: %s", b.name, c.Name, found)
			}
			if diff := diffOf(t, tx); diff.Unchanged != len(b.rows) || len(diff.Changes) > 0 {
				t.Errorf("%s without %s: %+v", b.name, c.Name, diff)
			}
			if made := must(tx.Commit(t.Context()))(t); made.ID != 0 || contents(t, db) != before {
				t.Fatalf("%s without %s changes something: %+v", b.name, c.Name, made)
			}
			if c.Required {
				continue // its cells may not be empty
			}
			tx = openTx(t, db)
			stage(t, tx, b.emptied(c.Name).String())
			if diff := diffOf(t, tx); recorded != (diff.Changed > 0) {
				t.Errorf("%s with an empty %s: %+v", b.name, c.Name, diff)
			}
			if err := tx.Rollback(); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// diffOf is the diff of a bundle of one file.
func diffOf(t testing.TB, tx standin.ImportTx) standin.FileDiff {
	t.Helper()
	diffs, err := tx.Diff(t.Context(), 10)
	if err != nil {
		t.Fatal(err)
	}
	if len(diffs) != 1 {
		t.Fatalf("%d files in the diff", len(diffs))
	}
	return diffs[0]
}

// A change beside an absent column is shown, recorded and undone without it; a new
// row has nothing recorded of it.
func TestChangesBesideAbsentColumns(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	before := contents(t, db)
	const bundle = "-- revisions.csv --\npart_number,revision,issue,volts_max\nPN-100,A,4,250\nPN-300,A,1,\n"
	tx := openTx(t, db)
	stage(t, tx, bundle)
	want := []standin.Change{
		{Op: "changed", Key: key("PN-100", "A"), Fields: []standin.FieldChange{{Column: "issue", Before: "1", After: "4"}, {Column: "volts_max", Before: "253", After: "250"}}},
		{Op: "added", Key: key("PN-300", "A"), Fields: []standin.FieldChange{{Column: "issue", After: "1"}}},
	}
	if diff := cmp.Diff(want, diffOf(t, tx).Changes); diff != "" {
		t.Errorf("changes (-want +got):\n%s", diff)
	}
	tx.Rollback()
	made := put(t, db, bundle)
	if again := put(t, db, bundle); again.ID != 0 {
		t.Errorf("imported again it changes something: %+v", again)
	}
	var after string
	err := db.pool.QueryRow(t.Context(), `SELECT jsonb_object(n.columns, c.after)::text FROM changes c JOIN changed_columns n USING (import_id, file)
		WHERE import_id = $1 AND 'PN-100' = ANY (c.key)`, made.ID).Scan(&after)
	if err != nil || !strings.Contains(after, `"stop": "recalled"`) || !strings.Contains(after, `"issue": "4"`) {
		t.Errorf("the audit has %s, %v", after, err)
	}
	undo(t, db, made.ID)
	if diff := cmp.Diff(before, contents(t, db)); diff != "" {
		t.Errorf("undone (-want +got):\n%s", diff)
	}
}

func key(part, revision string) []standin.Field {
	return []standin.Field{{Column: "part_number", Value: part}, {Column: "revision", Value: revision}}
}

// Under --replace a row that stays keeps what the bundle has no column for.
func TestAbsentColumnsOfAReplacedFamily(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	put(t, db, "-- revisions.csv --\npart_number,revision,issue\nPN-100,A,1\nPN-200,A,3\n", "rotary")
	got := contents(t, db)
	for _, row := range []string{"PN-100,A,1,board-1,2001-01-01,2003-12-31,none,207,253,50,,recalled\n", "PN-200,A,3,board-1,,,steam drain,207,253,50 60,dial,\n"} {
		if !strings.Contains(got, row) {
			t.Errorf("%q is not among\n%s", row, got)
		}
	}
	if strings.Contains(got, "PN-200,B") {
		t.Error("what the bundle no longer has is not removed")
	}
}

// A cell of the bundle and what is recorded in a column that it lacks are checked
// against each other.
func TestAbsentColumnsAreChecked(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	put(t, db, "-- families.csv --\nfamily,code_length,alphabet,panel\nrotary,3,lamp lamp sign,H M / P\n")
	put(t, db, "-- loads.csv --\nbrand,model,variant,circuit,ohms_low,ohms_high\nAldor,W100,,heater,20,30\n")
	put(t, db, "-- builds.csv --\nbrand,model,variant,build,serial_from,serial_to\nAldor,W100,,b3,9,20\n")
	put(t, db, "-- twins.csv --\nbrand,model,of_brand,of_model,of_variant\nCorvin,K8,Corvin,K7,r\n")
	for _, c := range []struct{ bundle, want string }{
		{"-- revisions.csv --\npart_number,revision,made_from\nPN-100,A,2004-01-01\n",
			`revisions.csv:2: bad-value made_from="2004-01-01": made_from is 2004-01-01, after made_to, which is 2003-12-31; there is no column made_to, so what is recorded of it stays`},
		{"-- revisions.csv --\npart_number,revision,made_to\nPN-100,A,2000-12-31\n",
			`revisions.csv:2: bad-value made_to="2000-12-31": made_from is 2001-01-01, after made_to, which is 2000-12-31; there is no column made_from, so what is recorded of it stays`},
		{"-- revisions.csv --\npart_number,revision,volts_max\nPN-100,A,200\n",
			`revisions.csv:2: bad-value volts_max="200": volts_min is 207, above volts_max, which is 200; there is no column volts_min, so what is recorded of it stays`},
		{"-- models.csv --\nbrand,model,made_from\nAldor,W100,2007-01-01\n",
			`models.csv:2: bad-value made_from="2007-01-01": made_from is 2007-01-01, after made_to, which is 2006-12-31; there is no column made_to, so what is recorded of it stays`},
		{"-- builds.csv --\nbrand,model,build,made_from\nAldor,W100,b2,2005-02-01\n",
			`builds.csv:2: bad-value made_from="2005-02-01": made_from is 2005-02-01, after made_to, which is 2004-12-31; there is no column made_to, so what is recorded of it stays`},
		{"-- builds.csv --\nbrand,model,build,serial_from\nAldor,W100,b3,100\n",
			`builds.csv:2: bad-value serial_from="100": serial_from is 100, after serial_to, which is 20; there is no column serial_to, so what is recorded of it stays`},
		{"-- builds.csv --\nbrand,model,build,part_number\nAldor,W100,b1,PN-200\n",
			`builds.csv:2: missing-column part_number="PN-200": part_number changes, but there is no column revision, and the revision that is recorded, A, is one of another board; add the column, with an empty cell where it is not known`},
		{"-- builds.csv --\nbrand,model,build,part_number\nAldor,W100,b1,\n",
			`builds.csv:2: missing-value part_number="": the factory board's revision A is recorded, but not its part number` + "\n" +
				`builds.csv:2: missing-column part_number="": part_number changes, but there is no column revision, and the revision that is recorded, A, is one of another board; add the column, with an empty cell where it is not known`},
		{"-- builds.csv --\nbrand,model,build,made_to\nAldor,W100,b1,2003-06-01\n",
			`builds.csv:2: overlap made_from="2001-01-01": build b1 overlaps build b2 (the catalogue), which is made 2003-06-01 to 2004-12-31`},
		{"-- twins.csv --\nbrand,model,of_brand,of_model\nCorvin,K8,Aldor,W200\n",
			`twins.csv:2: unknown-reference of_model="W200": there is no model Aldor W200 / r in models.csv or twins.csv nor in the catalogue` + "\n" +
				`twins.csv:2: missing-column of_model="W200": of_model changes, but there is no column of_variant, and the variant that is recorded, r, is one of another model; add the column, with an empty cell where it is not known`},
		{"-- layouts.csv --\nlayout,connector,ways\nharness-1,CN1,3\n",
			`layouts.csv:2: ways-mismatch ways="3": there are 3 ways, but the circuits are heater neutral; there is one a pin; there is no column circuits, so what is recorded of it stays`},
		{"-- loads.csv --\nbrand,model,circuit,ohms_low\nAldor,W100,heater,31\n",
			`loads.csv:2: bad-value ohms_low="31": ohms_low is 31, above ohms_high, which is 30; there is no column ohms_high, so what is recorded of it stays`},
		{"-- configurations.csv --\nfamily,brand,model,issue_to,code\nrotary,Aldor,W100,1,A A A\n",
			`configurations.csv:2: missing-column code="A A A": code changes, but there is no column pattern, and the pattern that is recorded, 10-, proves another code; add the column, with an empty cell where it is not known`},
		{"-- configurations.csv --\nfamily,brand,model,variant,pattern\nrotary,Aldor,W200,x,111\n",
			`configurations.csv:2: missing-column family="rotary": the configuration is new, and a code of family rotary has 3 symbols; add the column code`},
		{"-- families.csv --\nfamily,code_length,readback\nrotary,3,H M P Q\n-- configurations.csv --\nfamily,brand,model,source\nrotary,Aldor,W100,handbook 2\n",
			`families.csv:2: wrong-length readback="H M P Q": 2 configurations of family rotary in the catalogue, such as the one for Aldor W100, have a pattern for another number of points` + "\n" +
				`families.csv:2: wrong-length readback="H M P Q": the alphabets are lamp lamp sign and the read-back points H M P Q; there is one alphabet for all, or one a point; there is no column alphabet, so what is recorded of it stays` + "\n" +
				`families.csv:2: bad-value readback="H M P Q": the panel is H M / P and the read-back points are H M P Q; each point is on the panel once; there is no column panel, so what is recorded of it stays`},
		{"-- families.csv --\nfamily,code_length,selector\nrotary,3,A C D\n-- configurations.csv --\nfamily,brand,model,issue_from,source\nrotary,Aldor,W100,2,handbook\n",
			`families.csv:2: unknown-symbol selector="A C D": 3 configurations of family rotary in the catalogue, such as the one for Aldor W100, have a symbol that is not on this selector`},
	} {
		tx := openTx(t, db)
		stage(t, tx, c.bundle)
		if diff := cmp.Diff(c.want+"\n", findings(t, tx)); diff != "" {
			t.Errorf("%s(-want +got):\n%s", c.bundle, diff)
		}
		tx.Rollback()
	}
}

// To lack a column is the same as to repeat what is stored in it, whatever else the
// rows say, and whichever of them are new.
func TestAbsentIsAsStored(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	compared := 0
	for seed := range uint64(6) {
		d := draw{rand.New(rand.NewPCG(seed, 7))}
		first := put(t, db, drawBundle(d))
		old := storedTables(t, db)
		for _, b := range tablesOf(t, drawBundle(d)) {
			f, _ := standin.FileNamed(b.name)
			var absent []string
			for _, c := range f.Columns {
				if !c.Key && !c.Required && d.yes() {
					absent = append(absent, c.Name)
				}
			}
			less, same := b, b
			for _, column := range absent {
				less = less.without(column)
				same = same.asStored(column, old)
			}
			found, withLess := imported(t, db, less.String())
			if strings.Contains(found, "there is no column") || strings.Contains(found, "add the column") {
				continue // what the importer would say of the cells as stored
			}
			foundSame, withSame := imported(t, db, same.String())
			if diff := cmp.Diff(foundSame+withSame, found+withLess); diff != "" {
				t.Errorf("seed %d: %s without %v (+) differs from as stored (-):\n%s", seed, b.name, absent, diff)
			}
			if found == "" {
				compared++
			}
		}
		undo(t, db, first.ID)
	}
	if compared < 20 {
		t.Errorf("only %d tables were without faults", compared)
	}
}

// asStored returns the table with the stored cells of a column, empty ones in rows
// that are not stored.
func (b table) asStored(column string, old []table) table {
	f, _ := standin.FileNamed(b.name)
	at, keys := slices.Index(b.columns, column), len(f.Keys())
	filled := b.emptied(column)
	for _, o := range old {
		for _, was := range o.rows {
			for _, row := range filled.rows {
				if o.name == b.name && slices.Equal(was[:keys], row[:keys]) {
					row[at] = was[at]
				}
			}
		}
	}
	return filled
}

func tablesOf(t testing.TB, bundle string) []table {
	t.Helper()
	var all []table
	for _, part := range strings.Split(bundle, "-- ")[1:] {
		name, text, _ := strings.Cut(part, ".csv --\n")
		rows := must(csv.NewReader(strings.NewReader(text)).ReadAll())(t)
		all = append(all, table{name, rows[0], rows[1:]})
	}
	return all
}

// imported returns the findings of a bundle, or, without any, the catalogue as it
// would be; then all is taken back.
func imported(t testing.TB, db *database, bundle string) (found, would string) {
	t.Helper()
	tx := must(db.OpenImport(t.Context(), standin.ImportRequest{By: "tester", LiftStops: true}))(t)
	stage(t, tx, bundle)
	if found = findings(t, tx); found != "" {
		tx.Rollback()
		return found, ""
	}
	made := must(tx.Commit(t.Context()))(t)
	would = contents(t, db)
	if made.ID != 0 {
		must(db.Undo(t.Context(), made.ID, standin.UndoRequest{By: "tester", LiftStops: true}))(t)
	}
	return "", would
}
