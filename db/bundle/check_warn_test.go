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
board-1,CN4,2,5,left,heater neutral
board-1,CN5,1,5,right,motor
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
PN-100,A,1,board-1,,,steam,,,,,
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

	{"an option that no board has", "harness-1,none,", "harness-1,stream,", []int{2, 2},
		`builds.csv likely-misspelt needs="stream": the option stream is near steam, which the catalogue has far more often: to it they are two different ones [steam]
builds.csv unmet-option needs="stream": build b1 of Aldor W100 needs stream, which no board of family rotary is recorded to have [steam]`},
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

	{"an adaptor that loses a circuit", "harness-2,CN2,1,5,right,motor", "harness-2,CN2,1,5,right,pump", []int{2, 3},
		`adaptors.csv adaptor-loses-circuits gives="harness-1": adaptor LOOM-1 takes pump (harness-2), but gives motor in its place (harness-1)
builds.csv factory-misfit layout="harness-2": build b2 of Aldor W100 has the factory board PN-100 revision A, which as recorded does not fit it: plug CN2 of its harness harness-2 has no header on the board (board-1)`},
	{"an adaptor that loses a way", "harness-2,CN2,1,5,right,motor", "harness-2,CN2,2,5,right,motor .", []int{2, 3},
		`adaptors.csv adaptor-loses-circuits gives="harness-1": adaptor LOOM-1 takes 4 ways (harness-2) and gives 3 (harness-1)
builds.csv factory-misfit layout="harness-2": build b2 of Aldor W100 has the factory board PN-100 revision A, which as recorded does not fit it: plug CN2 of its harness harness-2 has no header on the board (board-1)`},
	{"an adaptor that takes more", "harness-1,CN1,3,5,left,heater motor neutral", "harness-1,CN1,2,5,left,heater neutral", []int{2},
		`adaptors.csv adaptor-loses-circuits gives="harness-1": adaptor LOOM-1 takes motor (harness-2), but does not give it (harness-1)`},
	{"an adaptor of circuits that are not all recorded", "harness-2,CN2,1,5,right,motor", "harness-2,CN2,1,5,right,", nil, ""},

	{"two headers of a board for one plug", "CN2,3,5,right", "CN2,3,5,", []int{5, 6},
		`layouts.csv swappable-plugs connector="CN1": header CN1 of board layout board-1 takes the same plug as CN2, but not for the same circuits as far as is recorded: record the key if they are coded differently
layouts.csv swappable-plugs connector="CN2": header CN2 of board layout board-1 takes the same plug as CN1, but not for the same circuits as far as is recorded: record the key if they are coded differently`},
	{"two headers with the same circuits", "CN2,3,5,right,valve pump neutral", "CN2,3,5,left,heater motor neutral", nil, ""},
	{"a build before its model", "Aldor,W100,,,,,,,", "Aldor,W100,,,2001-01-02,,,,", []int{2},
		`builds.csv outside-span made_from="2001-01-01": build b1 of Aldor W100 begins 2001-01-01, but the model was made from 2001-01-02`},
	{"a build on the first day of its model", "Aldor,W100,,,,,,,", "Aldor,W100,,,2001-01-01,,,,", nil, ""},
	{"two plugs of a harness alike", "harness-2,CN2,1,5,right,motor", "harness-2,CN2,1,,,motor\nharness-2,CN4,1,,,.", []int{2}, // a way more, but no header
		`adaptors.csv adaptor-loses-circuits gives="harness-1": adaptor LOOM-1 takes 4 ways (harness-2) and gives 3 (harness-1)`},

	{"day and month of a build exchanged", "Aldor,W200,,,,,,,\n", "Aldor,W200,,,2004-02-01,2004-12-31,,,\n-- builds.csv --\nbrand,model,variant,build,made_from\nAldor,W200,,x,2004-01-03\n", []int{2},
		`builds.csv day-and-month made_from="2004-01-03": build x of Aldor W200 begins 2004-01-03, but the model was made 2004-02-01 to 2004-12-31: with day and month exchanged it would be 2004-03-01`},

	{"parts superseded backwards", "-- models.csv --", supersededBackwards + "-- models.csv --", []int{2},
		`supersessions.csv other-column new_part="PN-500": PN-500 is to supersede PN-600, but was made earlier (from 2001-01-01, the other from 2004-01-01): are the old and the new part exchanged?`},
	{"a link both ways", "-- models.csv --", strings.Replace(supersededBackwards, ",one-way", ",two-way", 1) + "-- models.csv --", nil, ""},

	{"a factory board without an option", "PN-100,A,1,board-1,,,steam", "PN-100,A,1,board-1,,,none", []int{3},
		`builds.csv factory-misfit needs="steam": build b2 of Aldor W100 has the factory board PN-100 revision A, which as recorded does not fit it: the build needs steam, the board has none`},
	{"a factory board without a header", "board-1,CN4,2,5,left", "board-1,CN4,2,2.5,left", []int{3},
		`builds.csv factory-misfit layout="harness-2": build b2 of Aldor W100 has the factory board PN-100 revision A, which as recorded does not fit it: plug CN1 of its harness harness-2 has no header on the board (board-1)`},
	{"a factory board for another supply", "PN-100,A,1,board-1,,,steam,,,,,\nPN-100,B,2,board-1,,,steam,,,,,", "PN-100,A,1,board-1,,,steam,2070,2530,,,\nPN-100,B,2,board-1,,,steam,,,,,", nil, ""},
	{"a factory board for another supply than its model", "-- configurations.csv --", otherSupply + "-- configurations.csv --", []int{2},
		`models.csv factory-misfit volts="230": build x of Aldor W300 has the factory board PN-700 revision A, which as recorded does not fit it: the model is for 230 V, the board for 2070 to 2530 V`},
	{"a load beyond the factory board", "-- configurations.csv --", loaded("3450", "10") + "-- configurations.csv --", nil, ""}, // 15 A: just 1.5 times
	{"a load far beyond the factory board", "-- configurations.csv --", loaded("3460", "10") + "-- configurations.csv --", []int{2},
		`loads.csv factory-misfit watts="3460": build x of Aldor W300 has the factory board PN-700 revision A, which as recorded does not fit it: heater draws 15.04 A, the board is rated 10 A`},

	{"a rating ten times all others", "-- configurations.csv --", ratings("10 10 10 12 10 12 10 10 10 10 120") + "-- configurations.csv --", []int{12},
		`ratings.csv off-by-factor max_amps="120": 120 A is far from all others of heater, of which the nearest is 12 A: is the decimal point in its place, and the unit right?`},
	{"a rating a tenth of all others", "-- configurations.csv --", ratings("10 10 10 12 10 12 10 10 10 10 1.2") + "-- configurations.csv --", []int{12},
		`ratings.csv off-by-factor max_amps="1.2": 1.2 A is far from all others of heater, of which the nearest is 10 A: is the decimal point in its place, and the unit right?`},
	{"a large rating among many", "-- configurations.csv --", ratings("10 10 10 12 10 12 10 10 10 10 59") + "-- configurations.csv --", nil, ""},
	{"one of too few", "-- configurations.csv --", ratings("10 10 10 12 120") + "-- configurations.csv --", nil, ""},

	{"a symbol that no other code has there", "key,Aldor,W200,,,7,8,2,01,", keyed("B"), []int{22},
		`configurations.csv unused-symbol code="B": no other code of family rotary has B at place 1; the other 19 have one of A, C there`},
	{"symbols each of which some code has", "key,Aldor,W200,,,7,8,2,01,", keyed("C"), nil, ""},

	{"a circuit misspelt", "board-1,CN2,3,5,right,valve pump neutral", "board-1,CN2,3,5,right,valve pump neutrl\nboard-2,CN1,3,,,neutral neutral neutral", []int{6},
		`layouts.csv likely-misspelt circuits="neutrl": the circuit neutrl is near neutral, which the catalogue has far more often: to it they are two different ones [neutral]`},
	{"circuits that are numbered", "board-1,CN2,3,5,right,valve pump neutral", "board-1,CN2,3,5,right,valve pump neutral-1\nboard-2,CN1,4,,,neutral-2 neutral-2 neutral-2 neutral-2", nil, ""},
	{"a circuit that nothing else has", "-- configurations.csv --", "-- loads.csv --\nbrand,model,variant,build,circuit,watts,volts,element\nAldor,W100,,,buzzer,,,\n-- layouts.csv --\nlayout,connector,ways,pitch_mm,key,circuits\n" + manyPins + "-- configurations.csv --", []int{2},
		`loads.csv used-once circuit="buzzer": the circuit buzzer is used here alone: no layout, no other load and no other rating has it, so that it is compared with nothing`},
}

// manyPins is a layout of a hundred pins.
var manyPins = "board-4,CN1,100,,,\"" + strings.Repeat("heater motor valve pump ", 25) + "\"\n"

const supersededBackwards = `-- boards.csv --
part_number,family,title,gtin
PN-500,,,
PN-600,,,
-- revisions.csv --
part_number,revision,made_from
PN-500,A,2001-01-01
PN-600,A,2004-01-01
-- supersessions.csv --
old_part,new_part,interchange
PN-600,PN-500,one-way
`

// oneMore is another model with a build and its factory board.
const oneMore = `-- boards.csv --
part_number,family,title,gtin
PN-700,,,
-- models.csv --
brand,model,variant,kind,made_from,made_to,volts,hertz,serial_rule
Aldor,W300,,,,,230,,
-- builds.csv --
brand,model,variant,build,part_number,revision
Aldor,W300,,x,PN-700,A
-- revisions.csv --
part_number,revision,volts_min,volts_max
`

const otherSupply = oneMore + "PN-700,A,2070,2530\n"

func loaded(watts, amps string) string {
	return oneMore + "PN-700,A,207,253\n-- loads.csv --\nbrand,model,variant,build,circuit,watts,volts,element\nAldor,W300,,,heater," + watts +
		",,heating\n-- ratings.csv --\npart_number,revision,circuit,max_amps\nPN-700,A,heater," + amps + "\n"
}

// ratings are boards with a rating of the heater each.
func ratings(amps string) string {
	boards, revisions, ratings := "-- boards.csv --\npart_number\n", "-- revisions.csv --\npart_number,revision\n", "-- ratings.csv --\npart_number,revision,circuit,max_amps\n"
	for i, a := range strings.Fields(amps) {
		boards += fmt.Sprintf("PN-8%02d\n", i)
		revisions += fmt.Sprintf("PN-8%02d,A\n", i)
		ratings += fmt.Sprintf("PN-8%02d,A,heater,%s\n", i, a)
	}
	return boards + revisions + ratings
}

// keyed are many configurations, the last of which begins with a symbol.
func keyed(last string) string {
	rows, models := "", "-- models.csv --\nbrand,model\n"
	for i := range 17 {
		first := []string{"A", "C"}[i%2]
		if i == 16 {
			first = last
		}
		rows += fmt.Sprintf("rotary,Aldor,W3%02d,,,,,%s %s,,\n", i, first, []string{"A", "B", "C", "D"}[i%4])
		models += fmt.Sprintf("Aldor,W3%02d\n", i)
	}
	return "key,Aldor,W200,,,7,8,2,01,\n" + rows + models
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
		if test.want != "" && !ofNoFamily(test.want) {
			checkFamilyAudit(t, db, found)
		}
		undo(t, db, made.ID)
	}
	var codes []string
	for kind := range tried {
		codes = append(codes, strings.Fields(kind)[1])
	}
	slices.Sort(codes)
	want := []string{standin.AdaptorLosesCircuits, standin.DayAndMonth, standin.FactoryMisfit, standin.Gap, standin.LikelyMisspelt, standin.NoDifference,
		standin.NoTaker, "oddity", standin.OffByFactor, standin.OtherColumn, standin.OutsideSpan, standin.SamePattern, standin.SwappablePlugs,
		standin.UnknownReference, standin.UnmetOption, standin.UnreadableResistor, standin.UnusedSymbol, standin.UsedOnce}
	if diff := cmp.Diff(want, slices.Compact(codes)); diff != "" { // what takes a whole family has tests of its own
		t.Errorf("codes that were tried (-want +got):\n%s", diff)
	}
	if _, _, err := db.Audit(t.Context(), "none", 100); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("an unknown family: %v", err)
	}
}

// ofNoFamily reports whether a finding is about what belongs to no family.
func ofNoFamily(finding string) bool {
	file, _, _ := strings.Cut(finding, ".csv")
	return slices.Contains([]string{"adaptors", "supersessions", "ratings", "loads", "models"}, file)
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
