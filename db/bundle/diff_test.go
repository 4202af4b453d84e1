package bundle

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestDiff(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	tx := openTx(t, db, "rotary")
	stage(t, tx, `-- configurations.csv --
family,brand,model,variant,build,issue_from,issue_to,code,pattern,source
rotary,Aldor,W100,,,,1,A B D,10-,
rotary,Aldor,W100,,,2,,A B D,1f0,
rotary,Aldor,W200,x,,,,C C C,,handbook
-- sources.csv --
source,title,issued,note
handbook,Service handbook,2005,second edition
-- revisions.csv --
part_number,revision,issue,layout,made_from,made_to,options,volts_min,volts_max,hertz,procedure,stop
PN-100,A,1,board-1,2001,2003,,207.5,253,50 60,,recalled
PN-200,A,1,board-1,,,none,207,253,50 60,dial,
PN-200,B,2,,,,,,,,,
`)
	want := `sources: 0 added, 1 changed, 0 removed, 0 unchanged
 changed source=handbook: issued "2004-03-01"→"2005-01-01" note ""→"second edition"
revisions: 0 added, 2 changed, 0 removed, 1 unchanged
 changed part_number=PN-100 revision=A: options "none"→"" volts_min "207"→"207.5" hertz "50"→"50 60"
 changed part_number=PN-200 revision=A: options "steam drain"→"none"
configurations: 1 added, 1 changed, 1 removed, 1 unchanged
 changed family=rotary brand=Aldor model=W100 variant= build= issue_from=: code "A B C"→"A B D" source "handbook"→""
 removed family=rotary brand=Aldor model=W100 variant= build=b2 issue_from=: code "B B D"→""
 added family=rotary brand=Aldor model=W200 variant=x build= issue_from=: code ""→"C C C" source ""→"handbook"
`
	if diff := cmp.Diff(want, diffText(t, tx, 10)); diff != "" {
		t.Errorf("the diff:\n%s", diff)
	}
	if got := strings.Count(diffText(t, tx, 1), "\n "); got != 3 {
		t.Errorf("with one change in detail a file there are %d", got)
	}
}

// diffText is a diff as a text; files in which nothing changes and nothing is
// unchanged are left out.
func diffText(t testing.TB, tx standin.ImportTx, limit int) string {
	t.Helper()
	diffs, err := tx.Diff(t.Context(), limit)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, f := range diffs {
		if f.Added+f.Changed+f.Removed+f.Unchanged == 0 {
			continue
		}
		fmt.Fprintf(&b, "%s: %d added, %d changed, %d removed, %d unchanged\n", f.File, f.Added, f.Changed, f.Removed, f.Unchanged)
		for _, c := range f.Changes {
			fmt.Fprintf(&b, " %s", c.Op)
			for _, k := range c.Key {
				fmt.Fprintf(&b, " %s=%s", k.Column, k.Value)
			}
			b.WriteString(":")
			for _, f := range c.Fields {
				fmt.Fprintf(&b, " %s %q→%q", f.Column, f.Before, f.After)
			}
			b.WriteString("\n")
		}
	}
	return b.String()
}
