package bundle

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// A row tells what it is, where that comes from, and what it was before.
func TestHistory(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	put(t, db, strings.Replace(whole, "A B D,1f0,", "A B D,111,handbook", 1))
	undo(t, db, 2)
	configurations, _ := standin.FileNamed("configurations")
	h, err := db.History(t.Context(), configurations, []string{"rotary", "Aldor", "W100", "", "", "2"})
	if err != nil {
		t.Fatal(err)
	}
	const now = "[{family rotary} {brand Aldor} {model W100} {variant } {build } {issue_from 2} {issue_to } {code A B D} {pattern 1f0} {source }]"
	if diff := cmp.Diff(now, fmt.Sprint(h.Now)); diff != "" {
		t.Errorf("now (-want +got):\n%s", diff)
	}
	want := "3 changed [{pattern 111 1f0} {source handbook }] undoes 2\n" +
		"2 changed [{pattern 1f0 111} {source  handbook}] undoes 0\n" +
		"1 added [{code  A B D} {pattern  1f0}] undoes 0\n"
	var got strings.Builder
	for _, c := range h.Changes {
		fmt.Fprintln(&got, c.Import.ID, c.Op, c.Fields, "undoes", c.Import.Undoes)
		if c.Import.By != "tester" && c.Import.By != "undoer" {
			t.Errorf("import %d is by %q", c.Import.ID, c.Import.By)
		}
	}
	if diff := cmp.Diff(want, got.String()); diff != "" {
		t.Errorf("changes (-want +got):\n%s", diff)
	}
}

// Every row of every file that an import wrote has a history by its key, and after
// the undo as well.
func TestHistoryOfEveryFile(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	made := put(t, db, whole)
	all := exportRows(t, db, "")
	tell := func(there bool, changes int) {
		for _, f := range standin.Files {
			for _, row := range all[f.Name] {
				var key []string
				for i, c := range f.Columns {
					if c.Key {
						key = append(key, row[i])
					}
				}
				h, err := db.History(t.Context(), f, key)
				if err != nil || len(h.Changes) != changes || (h.Now != nil) != there {
					t.Errorf("%s %q: %v %+v", f.Name, key, err, h)
				}
			}
		}
	}
	tell(true, 1)
	undo(t, db, made.ID)
	tell(false, 2)
}

func TestHistoryOfNoRow(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	for _, test := range []struct {
		file string
		key  []string
		want standin.Code
		says string
	}{
		{"families", []string{"none"}, standin.CodeNotFound, "families has no row with the key none, and never had"},
		{"families", []string{"a", "b"}, standin.CodeBadRequest, "the key of families is family; these are 2 values"},
		{"models", []string{"Aldor"}, standin.CodeBadRequest, "the key of models is brand, model, variant; model is missing"},
		{"procedures", []string{"p", "enter", "one"}, standin.CodeBadRequest, `step of procedures must be a whole number, not "one"`},
	} {
		f, _ := standin.FileNamed(test.file)
		_, err := db.History(t.Context(), f, test.key)
		if standin.CodeOf(err) != test.want || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s %q: %v, want %s: %s", test.file, test.key, err, test.want, test.says)
		}
	}
}
