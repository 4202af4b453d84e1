package bundle

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// calm is a valid bundle about which nothing is odd.
const calm = `-- families.csv --
family,title,selector,code_length,readback,procedure,note
rotary,,A B C D,2,H M P,,
key,,1 2,1,K L,,
-- layouts.csv --
layout,connector,ways,pitch_mm,key,circuits
harness-1,CN1,3,5,left,heater motor neutral
harness-2,CN1,2,5,left,heater neutral
harness-2,CN2,1,5,right,motor
board-1,CN1,3,5,left,heater motor neutral
board-1,CN2,3,5,right,valve pump neutral
board-1,CN3,4,5,left,valve pump neutral .
-- adaptors.csv --
part_number,title,takes,gives
LOOM-1,Loom,harness-2,harness-1
-- boards.csv --
part_number,family,title,gtin
PN-100,rotary,,
PN-200,rotary,,
PN-300,key,,
-- revisions.csv --
part_number,revision,issue,layout,made_from,made_to,options,volts_min,volts_max,hertz,procedure,stop
PN-100,A,1,board-1,,,none,,,,,
PN-100,B,2,board-1,,,steam,,,,,
PN-200,A,3,board-1,,,,,,,,
PN-300,A,,,,,drain,,,,,
-- models.csv --
brand,model,variant,kind,made_from,made_to,volts,hertz,serial_rule
Aldor,W100,,,,,,,
Aldor,W200,,,,,,,
-- builds.csv --
brand,model,variant,build,made_from,made_to,run_out_days,serial_from,serial_to,part_number,revision,layout,needs,source
Aldor,W100,,b1,2001-01-01,,,,,PN-100,A,harness-1,none,
Aldor,W100,,b2,2003-06-01,2004-12-31,,,,PN-100,A,harness-2,steam,
Aldor,W100,,b3,2005-01-01,,,,,PN-100,B,harness-2,,
-- configurations.csv --
family,brand,model,variant,build,issue_from,issue_to,code,pattern,source
rotary,Aldor,W100,,,,2,A B,10-,
rotary,Aldor,W100,,,3,,A C,11-,
rotary,Aldor,W200,,,,,A D,0f-,
key,Aldor,W200,,,7,8,2,01,
`

// oddities are the calm bundle with one thing odd about it. What is found has no
// place here: an import gives it one, an audit does not.
var oddities = []struct {
	name     string
	old, new string
	lines    []int
	want     string
}{
	{"nothing", "", "", nil, ""},

	{"a gap", "b2,2003-06-01,2004-12-31", "b2,2003-06-01,2004-12-30", []int{4},
		`builds.csv gap made_from="2005-01-01": build b3 of Aldor W100 begins 2005-01-01, build b2 before it ends 2004-12-30: no build covers the days between`},
	{"a gap after a build whose end is not recorded", "b2,2003-06-01,2004-12-31", "b2,2003-06-01,", nil, ""},
	{"a gap before a build whose beginning is not recorded", "b1,2001-01-01,", "b1,,2003-05-31", nil, ""},

	{"a cut-in without a difference", "PN-100,A,harness-2,steam", "PN-100,A,harness-1,steam", []int{3},
		`builds.csv no-difference build="b2": build b2 of Aldor W100 has the board (PN-100 revision A) and the harness (harness-1) of build b1 before it: its cut-in makes no difference`},
	{"a cut-in with another revision alone", "PN-100,A,harness-2,steam", "PN-100,B,harness-1,steam", nil, ""},
	{"a cut-in with no harness recorded", "PN-100,B,harness-2", "PN-100,A,", nil, ""},

	{"a source that is not listed", "harness-1,none,", "harness-1,none,handbook", []int{2},
		`builds.csv unknown-reference source="handbook": there is no source handbook in sources.csv nor in the catalogue`},
	{"a configuration's source that is not listed", "A D,0f-,", "A D,0f-,handbook", []int{4},
		`configurations.csv unknown-reference source="handbook": there is no source handbook in sources.csv nor in the catalogue`},

	{"an option that no board has", "harness-1,none,", "harness-1,stream,", []int{2},
		`builds.csv unmet-option needs="stream": build b1 of Aldor W100 needs stream, which no board of family rotary is recorded to have [steam]`},
	{"an option that a board of another family has", "PN-100,B,harness-2,,", "PN-100,B,harness-2,steam drain,", []int{4},
		`builds.csv unmet-option needs="drain": build b3 of Aldor W100 needs drain, which no board of family rotary is recorded to have`},
	{"an option of a family that records none", "drain", "", nil, ""},

	{"a configuration between the issues", "key,Aldor,W200,,,7,8,2,01,", "rotary,Aldor,W100,,b1,4,,B B,00-,", []int{5},
		`configurations.csv no-taker issue_from="4": the configuration for Aldor W100 is for issues from 4, but the boards of family rotary that may be supplied are of issue 1, 2, 3: none can take it`},
	{"the one board that took it is recalled", "board-1,,,,,,,,\nPN-300", "board-1,,,,,,,,fire\nPN-300", []int{3},
		`configurations.csv no-taker issue_from="3": the configuration for Aldor W100 is for issues from 3, but the boards of family rotary that may be supplied are of issue 1, 2: none can take it`},
	{"no board may be supplied", "drain,,,,,", "drain,,,,,fire", []int{5},
		`configurations.csv no-taker family="key": the configuration for Aldor W200 serves nobody yet: no board of family key has a revision that may be supplied`},

	{"the same pattern", "A D,0f-", "A D,10-", []int{2, 4},
		`configurations.csv same-pattern pattern="10-": no reading tells the code A B (Aldor W100) from the code A D of family rotary: both have the pattern 10-
configurations.csv same-pattern pattern="10-": no reading tells the code A D (Aldor W200) from the code A B of family rotary: both have the pattern 10-`},
	{"an either that agrees", "A D,0f-", "A D,-01", []int{2, 4},
		`configurations.csv same-pattern pattern="-01": no reading tells the code A D (Aldor W200) from the code A B of family rotary, whose pattern 10- differs at no point that counts
configurations.csv same-pattern pattern="10-": no reading tells the code A B (Aldor W100) from the code A D of family rotary, whose pattern -01 differs at no point that counts`},
	{"a pattern that holds for any reading", "A D,0f-", "A D,---", []int{4},
		`configurations.csv same-pattern pattern="---": no reading tells the code A D (Aldor W200) from the code A B of family rotary, whose pattern 10- differs at no point that counts`},
	{"the same code with the same pattern", "A D,0f-", "A B,10-", nil, ""},
	{"no pattern recorded", "A D,0f-", "A D,", nil, ""},

	{"a resistor whose value cannot be read", "procedure,note\nrotary,,A B C D,2,H M P,,\nkey,,1 2,1,K L,,", "procedure,note,method\nrotary,,A B C D,2,H M P,,,\nkey,,4k7J 1 2 brown,1,K L,,,resistor", []int{3},
		`families.csv unreadable-resistor selector="brown": "brown" is no resistor value; write it as 470R, 4K7, 1M or 4700, with its tolerance as 4K7J (F 1 %, G 2 %, J 5 %, K 10 %, M 20 %)`},
	{"the same symbols on a selector", "key,,1 2,1", "key,,1 2 brown,1", nil, ""},

	{"an adaptor that loses a circuit", "harness-2,CN2,1,5,right,motor", "harness-2,CN2,1,5,right,pump", []int{2},
		`adaptors.csv adaptor-loses-circuits gives="harness-1": adaptor LOOM-1 takes pump (harness-2), but gives motor in its place (harness-1)`},
	{"an adaptor that loses a way", "harness-2,CN2,1,5,right,motor", "harness-2,CN2,2,5,right,motor .", []int{2},
		`adaptors.csv adaptor-loses-circuits gives="harness-1": adaptor LOOM-1 takes 4 ways (harness-2) and gives 3 (harness-1)`},
	{"an adaptor that takes more", "harness-1,CN1,3,5,left,heater motor neutral", "harness-1,CN1,2,5,left,heater neutral", []int{2},
		`adaptors.csv adaptor-loses-circuits gives="harness-1": adaptor LOOM-1 takes motor (harness-2), but does not give it (harness-1)`},
	{"an adaptor of circuits that are not all recorded", "harness-2,CN2,1,5,right,motor", "harness-2,CN2,1,5,right,", nil, ""},

	{"two headers of a board for one plug", "CN2,3,5,right", "CN2,3,5,", []int{5, 6},
		`layouts.csv swappable-plugs connector="CN1": header CN1 of board layout board-1 takes the same plug as CN2, but not for the same circuits as far as is recorded: record the key if they are coded differently
layouts.csv swappable-plugs connector="CN2": header CN2 of board layout board-1 takes the same plug as CN1, but not for the same circuits as far as is recorded: record the key if they are coded differently`},
	{"two headers with the same circuits", "CN2,3,5,right,valve pump neutral", "CN2,3,5,left,heater motor neutral", nil, ""},
	{"two plugs of a harness alike", "harness-2,CN2,1,5,right,motor", "harness-2,CN2,1,,,motor\nharness-2,CN4,1,,,.", []int{2}, // a way more, but no header
		`adaptors.csv adaptor-loses-circuits gives="harness-1": adaptor LOOM-1 takes 4 ways (harness-2) and gives 3 (harness-1)`},
}

func TestWarnings(t *testing.T) {
	t.Parallel()
	db := openEmpty(t) // nothing is committed, so all cases may share it
	for _, test := range oddities {
		t.Run(test.name, func(t *testing.T) {
			tx := openTx(t, db)
			defer tx.Rollback()
			stage(t, tx, oddBundle(t, test.old, test.new))
			if found := findings(t, tx); found != "" {
				t.Fatalf("the bundle has faults:\n%s", found)
			}
			found, total, err := tx.Warnings(t.Context(), 100)
			if err != nil || total != len(found) {
				t.Fatalf("%d findings are counted, %d shown; %v", total, len(found), err)
			}
			var lines []int
			for i, f := range found {
				lines = append(lines, f.Line)
				found[i].Line = 0
			}
			if diff := cmp.Diff(test.want, oddLines(found)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(test.lines, lines); diff != "" {
				t.Errorf("lines (-want +got):\n%s", diff)
			}
		})
	}
}

// What an import warns of, an audit finds in what it stored, a case of each kind;
// an audit of the one family that it is about too.
func TestAudit(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	tried := map[string]bool{}
	for _, test := range oddities {
		kind := strings.Join(strings.Fields(test.want + " no oddity")[:2], " ")
		if tried[kind] {
			continue
		}
		tried[kind] = true
		made := put(t, db, oddBundle(t, test.old, test.new))
		found, total, err := db.Audit(t.Context(), "", 100)
		if err != nil || total != len(found) {
			t.Fatalf("%d findings are counted, %d shown; %v", total, len(found), err)
		}
		if diff := cmp.Diff(test.want, oddLines(found)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
		if test.want != "" && !strings.HasPrefix(test.want, "adaptors.csv") {
			checkFamilyAudit(t, db, found)
		}
		undo(t, db, made.ID)
	}
	const proofread = 1 // what takes a whole family has tests of its own
	if len(tried) != 1+len(referencesTo(true))+len(warnings)+len(rowWarnings)-proofread {
		t.Errorf("%d kinds of oddity were tried, want each: %v", len(tried), tried)
	}
	if _, _, err := db.Audit(t.Context(), "none", 100); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("an unknown family: %v", err)
	}
}

// checkFamilyAudit audits both families: together they have all there is, each
// only its own.
func checkFamilyAudit(t *testing.T, db *database, all []standin.Finding) {
	t.Helper()
	seen := map[string]bool{}
	for _, family := range []string{"rotary", "key"} {
		found, _, err := db.Audit(t.Context(), family, 100)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range found {
			seen[oddLines([]standin.Finding{f})] = true
			if f.File == "configurations.csv" && f.Code != standin.UnknownReference && !strings.Contains(f.Message, "family "+family) {
				t.Errorf("the audit of %s says: %s", family, f.Message)
			}
		}
	}
	if len(seen) != len(all) {
		t.Errorf("the audits of both families find %d oddities, that of all %d", len(seen), len(all))
	}
}

func oddBundle(t *testing.T, old, new string) string {
	t.Helper()
	if !strings.Contains(calm, old) {
		t.Fatalf("the calm bundle does not have %q", old)
	}
	return strings.Replace(calm, old, new, 1)
}

// oddLines are findings, a line each, sorted: an audit knows no other order.
func oddLines(found []standin.Finding) string {
	var lines []string
	for _, f := range found {
		line := fmt.Sprintf("%s %s %s=%q: %s", f.File, f.Code, f.Column, f.Value, f.Message)
		if f.Correction != "" {
			line += " [" + f.Correction + "]"
		}
		if f.Severity != standin.SeverityWarning || f.Line != 0 {
			line = fmt.Sprintf("line %d, %s: %s", f.Line, f.Severity, line)
		}
		lines = append(lines, line)
	}
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}
