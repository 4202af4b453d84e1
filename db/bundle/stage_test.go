package bundle

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// The views present what is stored with exactly the columns and the types of
// the files, and no key of them is NULL except where keyPart says how it compares.
func TestViewsAreTheFiles(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	for _, f := range standin.Files {
		rows, err := db.pool.Query(t.Context(), "SELECT * FROM bundle."+f.Name) // every column there is, in its order
		if err != nil {
			t.Fatal(err)
		}
		var got, want []string
		for _, d := range rows.FieldDescriptions() {
			kind, _ := rows.Conn().TypeMap().TypeForOID(d.DataTypeOID)
			got = append(got, d.Name+" "+kind.Name)
		}
		rows.Close()
		for _, c := range f.Columns {
			want = append(want, c.Name+" "+typeOf(c.Kind))
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("bundle.%s:\n%s", f.Name, diff)
		}
	}
}

func typeOf(k standin.Kind) string {
	switch k {
	case standin.Integer:
		return "int8"
	case standin.Number:
		return "float8"
	case standin.FromDate, standin.ToDate:
		return "date"
	case standin.Words, standin.CodeCell:
		return "_text"
	case standin.Numbers:
		return "_float8"
	}
	return "text"
}

// Every file has a table, and in the same order.
func TestTargetsAreTheFiles(t *testing.T) {
	t.Parallel()
	var got, want []string
	for _, to := range targets {
		got = append(got, to.file)
	}
	for _, f := range standin.Files {
		want = append(want, f.Name)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestStageReturnsTheErrorOfTheRows(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	file, _ := standin.FileNamed("presets")
	broken := errors.New("broken")
	tests := []struct {
		name string
		rows func(yield func(standin.Row, error) bool)
		want string
	}{
		{"an error", func(yield func(standin.Row, error) bool) {
			if yield(standin.Row{Line: 2, Cells: []any{"P", "B", "M", nil, nil}}, nil) && yield(standin.Row{}, broken) {
				t.Error("rows are asked for after an error")
			}
		}, "broken"},
		{"too few cells", func(yield func(standin.Row, error) bool) {
			yield(standin.Row{Line: 7, Cells: []any{"P"}}, nil)
		}, "bundle: line 7 of presets has 1 cells for 5 columns"},
	}
	for _, test := range tests {
		tx := openTx(t, db)
		if err := tx.Stage(t.Context(), file, "presets.csv", test.rows); err == nil || err.Error() != test.want {
			t.Errorf("%s: got %v, want %s", test.name, err, test.want)
		}
		tx.Rollback()
	}
}

func TestStagedValue(t *testing.T) {
	t.Parallel()
	var (
		text     = standin.Column{Name: "title"}
		key      = standin.Column{Name: "variant", Key: true}
		issue    = standin.Column{Name: "issue_from", Key: true, Kind: standin.Integer}
		words    = standin.Column{Name: "selector", Kind: standin.Words}
		wordless = standin.Column{Name: "options", Kind: standin.Words, None: true}
		numbers  = standin.Column{Name: "hertz", Kind: standin.Numbers}
	)
	tests := []struct {
		column     standin.Column
		cell, want any
	}{
		{text, nil, nil},
		{text, "", nil},
		{text, "a", "a"},
		{key, nil, ""},
		{key, "", ""},
		{issue, nil, nil},
		{issue, int64(3), int64(3)},
		{words, nil, nil},
		{words, []string{}, nil},
		{words, []string{"a"}, []string{"a"}},
		{wordless, nil, nil},
		{wordless, []string{}, []string{}},
		{wordless, []string(nil), []string{}},
		{numbers, []float64{}, nil},
		{numbers, []float64{50}, []float64{50}},
	}
	for _, test := range tests {
		if diff := cmp.Diff(test.want, stagedValue(test.column, test.cell)); diff != "" {
			t.Errorf("%s %#v:\n%s", test.column.Name, test.cell, diff)
		}
	}
}
