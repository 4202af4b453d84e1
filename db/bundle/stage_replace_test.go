package bundle

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// family is a family with a board of its own that nothing else needs.
const family = `-- families.csv --
family,title,selector,code_length,readback,procedure,note
rotary,,A B C D,3,,,
other,,A B,1,,,
-- boards.csv --
part_number,family,title,gtin
PN-100,rotary,,
PN-200,rotary,,
PN-900,other,,
-- revisions.csv --
part_number,revision,issue,layout,made_from,made_to,options,volts_min,volts_max,hertz,procedure,stop
PN-100,A,1,,,,,,,,,
PN-200,A,1,,,,,,,,,
PN-200,B,2,,,,,,,,,
PN-900,A,1,,,,,,,,,
-- markings.csv --
marking,part_number,revision,note
Z-1,PN-100,,
Z-2,PN-200,B,
-- ratings.csv --
part_number,revision,circuit,max_amps
PN-200,B,heater,10
PN-200,A,heater,10
-- models.csv --
brand,model,variant,kind,made_from,made_to,volts,hertz,serial_rule
Aldor,W100,,,,,,,
-- configurations.csv --
family,brand,model,variant,build,issue_from,issue_to,code,pattern,source
rotary,Aldor,W100,,,,1,A B C,,
rotary,Aldor,W100,,,2,,A B D,,
other,Aldor,W100,,,,,A,,
-- presets.csv --
part_number,brand,model,variant,build
PN-100,Aldor,W100,,
`

// dropLines is a text without the given lines.
func dropLines(text string, lines ...string) string {
	for _, line := range lines {
		text = strings.Replace(text, line+"\n", "", 1)
	}
	return text
}

func TestReplaceRemovesWhatTheBundleNoLongerHas(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name    string
		bundle  string
		want    string
		removed int
	}{
		{"the same edition", family, family, 0},
		{"configurations alone", `-- configurations.csv --
family,brand,model,variant,build,issue_from,issue_to,code,pattern,source
rotary,Aldor,W100,,,,1,A B C,,
`, dropLines(family, "rotary,Aldor,W100,,,2,,A B D,,"), 1},
		{"a board goes with all that is its own", dropLines(family, "PN-100,rotary,,", "PN-100,A,1,,,,,,,,,", "Z-1,PN-100,,", "PN-100,Aldor,W100,,"),
			dropLines(family, "PN-100,rotary,,", "PN-100,A,1,,,,,,,,,", "Z-1,PN-100,,", "PN-100,Aldor,W100,,"), 4},
		{"a board goes although its files are not there", `-- boards.csv --
part_number,family,title,gtin
PN-200,rotary,,
`, dropLines(family, "PN-100,rotary,,", "PN-100,A,1,,,,,,,,,", "Z-1,PN-100,,", "PN-100,Aldor,W100,,"), 4},
		{"a revision goes with its ratings and markings", `-- revisions.csv --
part_number,revision,issue,layout,made_from,made_to,options,volts_min,volts_max,hertz,procedure,stop
PN-100,A,1,,,,,,,,,
PN-200,A,1,,,,,,,,,
`, dropLines(family, "PN-200,B,2,,,,,,,,,", "PN-200,B,heater,10", "Z-2,PN-200,B,"), 3},
		{"another family's rows stay", dropLines(family, "PN-900,other,,", "PN-900,A,1,,,,,,,,,", "other,Aldor,W100,,,,,A,,"), family, 0},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			db := openEmpty(t)
			put(t, db, family)
			made := put(t, db, test.bundle, "rotary")
			if diff := cmp.Diff(sorted(t, test.want), contents(t, db)); diff != "" {
				t.Errorf("stored (+) differs (-):\n%s", diff)
			}
			if made.Removed != test.removed || made.Added+made.Changed != 0 {
				t.Errorf("the import is %+v", made)
			}
			if made.ID != 0 {
				undo(t, db, made.ID)
			}
			if diff := cmp.Diff(sorted(t, family), contents(t, db)); diff != "" {
				t.Errorf("undone (+) differs (-):\n%s", diff)
			}
		})
	}
}

func TestReplaceKeepsWhatOthersNeed(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, family)
	put(t, db, "-- stock.csv --\nlocation,part_number,revision,condition,quantity\nfront,PN-100,A,new,3\n")
	tx := openTx(t, db, "rotary")
	stage(t, tx, dropLines(family, "PN-100,rotary,,", "PN-100,A,1,,,,,,,,,", "Z-1,PN-100,,", "PN-100,Aldor,W100,,"))
	want := `boards.csv:0: unknown-reference part_number="PN-100": board or adaptor PN-100 would be gone, but the row front, PN-100, A, new of stock in the catalogue needs it
`
	if got := findings(t, tx); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if _, err := tx.Commit(t.Context()); standin.CodeOf(err) != standin.CodeRejected {
		t.Errorf("the commit: %v", err)
	}
}

func TestReplaceOfAnUnknownFamily(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, family)
	tx := openTx(t, db, "Rotary")
	_, _, err := tx.Check(t.Context(), 10)
	if standin.CodeOf(err) != standin.CodeBadRequest || !strings.Contains(err.Error(), `no family "Rotary" to replace`) {
		t.Errorf("the error is %v", err)
	}
}
