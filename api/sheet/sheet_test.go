package sheet_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"standin"
	"standin/api/sheet"
)

func printed(t testing.TB, s interface{ PDF() ([]byte, error) }) []byte {
	t.Helper()
	pdf, err := s.PDF()
	if err != nil {
		t.Fatal(err)
	}
	return pdf
}

// lacks are the texts that are not among what was printed, spaces aside.
func lacks(text string, wanted ...string) []string {
	joined := strings.Join(strings.Fields(text), "")
	return slices.DeleteFunc(wanted, func(want string) bool {
		return strings.Contains(joined, strings.Join(strings.Fields(want), ""))
	})
}

// everything that must be on a sheet.
func everything(j *standin.Job) []string {
	a := j.Answer
	all := []string{a.Machine.ModelKey.String(), a.Machine.Serial, a.Machine.OldPart, j.Board.Title,
		"Board " + j.Board.PartNumber + " revision " + j.Board.Revision, "Catalogue version"}
	all = append(all, j.Sources...)
	all = append(all, a.Cautions...)
	for _, pair := range j.Swappable {
		all = append(all, pair[0]+" and "+pair[1]+" take the same plug")
	}
	for _, c := range j.ToCheck {
		all = append(all, c.Text[1:]) // it begins with a capital
	}
	for _, c := range a.BeforeFitting {
		all = append(all, c.Circuit, c.Brief, c.Source)
	}
	for _, h := range j.Harnesses {
		for _, c := range h.Layout.Connectors {
			all = append(all, c.Marking, strings.Join(c.Circuits.V, " "))
		}
	}
	all = append(all, j.Adaptors...)
	if j.Procedure != nil {
		for _, s := range j.Procedure.Steps {
			all = append(all, s.Do, s.Expect)
		}
	}
	if j.Family != nil {
		all = append(all, j.Family.Readback...)
	}
	return append(all, "EN 50678:2020 (VDE 0701)", "local rules and the maker's data come first")
}

func TestSheet(t *testing.T) {
	t.Parallel()
	s := sample(t)
	pdf := printed(t, s)
	text := textOf(t, pdf)
	wanted := append(everything(s.Job),
		// IEC 60335-1 clause 10.1 table 1, for 2000 W at 230 V.
		"25.2 to 29.4 Ω",
		"symbol 1: 7 LIVE Turn the dial to number 1", "symbol 4: 11 LIVE Turn the dial to number 4", "Hold for 5 s.",
		"● lit ○ unlit ◐ flashing", "1 Prewash", "10 Delay", "CN4 ⇄CN5", "CN4 ⇄ may be taken for plug CN5 and header CN5: inlet inlet-n",
		// EN 50678:2020.
		"At most 0.3 Ω up to 5 m of cord", "0.1 Ω more for each further 7.5 m begun, never above 1.0 Ω",
		"Insulation resistance, class I.", "At least 0.3 MΩ", "At least 2 MΩ", "stated from memory: compare the standard",
		"Fold back here", "1 Prewash lit 2 Wash unlit 3 Rinse flashing 4 Dry either 5 End",
		"Up to 1 misread point would be noticed.", "tallies does not tally", "If it does not tally, or a point cannot be read",
		"LIVE: the machine is powered", "Serial number Date Name Signature", "page 1 of 2")
	if missing := lacks(text, wanted...); len(missing) > 0 {
		t.Errorf("not printed: %q\nin %s", missing, text)
	}
	if faults := overflows(pagesOf(t, pdf)); len(faults) > 0 {
		t.Error(faults)
	}
}

// The order is that of the work, and what is to be found out by reading stands
// below the fold.
func TestSheetOrder(t *testing.T) {
	t.Parallel()
	text := textOf(t, printed(t, sample(t)))
	at := 0
	for _, part := range []string{"Wexcombe DW 410", "Isolate the machine", "CN4 and CN5 take the same plug", "Check before fitting", "25.2 to",
		"Plugs and adaptors", "Configure", "LIVE: the machine is powered", "enter 1 LIVE", "symbol 1", "finish 1", "Read back", "After repair", "Signature", "Fold back here", "Expected pattern", "either", "would be noticed", "does not tally"} {
		next := strings.Index(text[at:], part)
		if next < 0 {
			t.Fatalf("%q is not printed after what comes before it in\n%s", part, text)
		}
		at += next
	}
	if strings.Contains(text[:strings.Index(text, "Fold back here")], "10f-011010") {
		t.Error("the pattern stands above the fold")
	}
}

func TestSheetCodes(t *testing.T) {
	t.Parallel()
	s := sample(t)
	codes := codesOf(t, printed(t, s))
	if want := "QR-Code:" + s.Bench + "\n"; !strings.Contains(codes, want) {
		t.Errorf("no %q in %q", want, codes)
	}
	if want := "CODE-128:70-1002\n"; !strings.Contains(codes, want) {
		t.Errorf("no %q in %q", want, codes)
	}
}

func TestSheetIsReproducible(t *testing.T) {
	t.Parallel()
	if !bytes.Equal(printed(t, sample(t)), printed(t, sample(t))) {
		t.Error("the same job is printed in other bytes")
	}
	other := sample(t)
	other.Job.Board.Revision = "C"
	if bytes.Equal(printed(t, sample(t)), printed(t, other)) {
		t.Error("another job is printed in the same bytes")
	}
}

// What a board needs least is printed too.
func TestSheetOfLittle(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		change func(*standin.Dossier)
		want   []string
		not    string
	}{
		"a fixed board": {func(d *standin.Dossier) {
			d.Boards[0].Family, d.Builds[0].PartNumber = "", "70-1002"
		}, []string{"nothing to configure on this board"}, "Expected pattern"},
		"a preset": {func(d *standin.Dossier) {
			d.Presets = []standin.Preset{{PartNumber: "70-1002"}}
		}, []string{"supplied set for this model", "Set to the code below, as recorded", "Expected pattern", "1 Prewash", "either"}, "enter 1"},
		"no pattern": {func(d *standin.Dossier) { d.Configurations[0].Pattern = "" },
			[]string{"No pattern is recorded for this code"}, "Fold back"},
		"no procedure": {func(d *standin.Dossier) { d.Procedures = nil },
			[]string{"No procedure is recorded: follow the maker's data."}, "enter 1"},
		"no harness": {func(d *standin.Dossier) { d.Builds[0].Layout = nil },
			[]string{"The harness is not recorded: label every plug"}, "may be taken for"},
		"no loads": {func(d *standin.Dossier) { d.Loads = nil },
			[]string{"No loads are recorded"}, "what to do"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d := dossier()
			test.change(d)
			text := textOf(t, printed(t, sheetOf(t, d, standin.Machine{})))
			if missing := lacks(text, test.want...); len(missing) > 0 || strings.Contains(text, test.not) {
				t.Errorf("missing %q, or there is %q:\n%s", missing, test.not, text)
			}
		})
	}
}

// Where the machine may have several harnesses each is shown, and the adaptors
// between are named.
func TestSheetHarnesses(t *testing.T) {
	t.Parallel()
	d := dossier()
	second := d.Builds[0]
	second.Label = "b3"
	second.Layout = &standin.Layout{Name: "four plugs", Connectors: d.Builds[0].Layout.Connectors[:2]}
	d.Builds = append(d.Builds, second)
	s := sheetOf(t, d, standin.Machine{})
	s.Job.Adaptors = []string{"LOOM-7"}
	text := textOf(t, printed(t, s))
	if missing := lacks(text, "Build: b2 or b3", "Harness three plugs (build b2)", "Harness four plugs (build b3)", "Fit adaptor LOOM-7"); len(missing) > 0 {
		t.Errorf("not printed: %q\nin %s", missing, text)
	}
}

func TestLabel(t *testing.T) {
	t.Parallel()
	s := sample(t)
	d := dossier()
	d.Configurations = append(d.Configurations,
		standin.Configuration{Family: "Curlew", Model: standin.ModelKey{Brand: "Harrowden", Model: "HD 41"}, Code: s.Job.Code, Pattern: s.Job.Pattern})
	pdf := printed(t, &sheet.Label{Job: s.Job, Family: family(d)})
	text := textOf(t, pdf)
	if missing := lacks(text, "70-1002 revision B (issue 2)", "Set for Wexcombe DW 410 / 4410 02, build b2", "Code 7 2 5 11", "Must show Prewash lit, Wash unlit, Rinse flashing, Dry either", "proved by on", "Harrowden HD 41"); len(missing) > 0 {
		t.Errorf("not printed: %q\nin %s", missing, text)
	}
	if strings.Contains(text, "DW 500") {
		t.Error("a model of another code is on the label")
	}
	if codes := codesOf(t, pdf); !strings.Contains(codes, "CODE-128:70-1002\n") {
		t.Errorf("the part number is not read from %q", codes)
	}
	pages := pagesOf(t, pdf)
	if faults := overflows(pages); len(faults) > 0 || len(pages) != 1 {
		t.Errorf("%d pages, %v", len(pages), faults)
	}
}

// The text that stands for what cannot be encoded.
func TestPartNumberNoCodeHolds(t *testing.T) {
	t.Parallel()
	for _, part := range []string{"Платa-1", strings.Repeat("70-1002-", 12)} {
		d := dossier()
		d.Boards[0].PartNumber = part
		text := textOf(t, printed(t, sheetOf(t, d, standin.Machine{})))
		if missing := lacks(text, "cannot be printed as a bar code", part); len(missing) > 0 {
			t.Errorf("%s: not printed: %q", part, missing)
		}
	}
}

// A code is as small as can be read, or it is left out.
func TestCodesAtTheirLimits(t *testing.T) {
	t.Parallel()
	s := sample(t)
	s.Bench = "http://192.0.2.7:8470/bench?model=" + strings.Repeat("M", 450)
	if codes := codesOf(t, printed(t, s)); !strings.Contains(codes, "QR-Code:"+s.Bench+"\n") {
		t.Errorf("a long address is not read from %q", codes)
	}
	s.Bench += strings.Repeat("M", 2000)
	if codes := codesOf(t, printed(t, s)); strings.Contains(codes, "QR-Code") || !strings.Contains(codes, "CODE-128:70-1002") {
		t.Errorf("codes: %q", codes)
	}
	for part, fits := range map[string]bool{strings.Repeat("P", 30): true, strings.Repeat("P", 60): false} {
		d := dossier()
		d.Boards[0].PartNumber = part
		codes := codesOf(t, printed(t, &sheet.Label{Job: sheetOf(t, d, standin.Machine{}).Job}))
		if strings.Contains(codes, "CODE-128:"+part+"\n") != fits {
			t.Errorf("%d characters on a label: read %q, want a code: %v", len(part), codes, fits)
		}
	}
}

// Every page after the first says on top which machine, board and job it is of.
func TestFurtherPagesAreNamed(t *testing.T) {
	t.Parallel()
	pages := pagesOf(t, printed(t, sample(t)))
	if len(pages) != 2 {
		t.Fatalf("%d pages, want 2", len(pages))
	}
	var top []string
	for _, w := range pages[1].Words {
		if w.YMax < 45 {
			top = append(top, w.Text)
		}
	}
	if missing := lacks(strings.Join(top, ""), "Wexcombe DW 410 / 4410 02", "board 70-1002 revision B", "job"); len(missing) > 0 {
		t.Errorf("on top of the second page: %q", top)
	}
}

// No code leads where no phone gets.
func TestNoCodeToItself(t *testing.T) {
	t.Parallel()
	for address, want := range map[string]bool{
		"http://127.0.0.1:8470/bench": false, "http://[::1]:8470/bench": false, "http://localhost/bench": false, "http://0.0.0.0:80/bench": false,
		"http://192.0.2.7:8470/bench": true, "https://parts.example/bench": true,
	} {
		s := sample(t)
		s.Bench = address
		if got := strings.Contains(codesOf(t, printed(t, s)), "QR-Code:"); got != want {
			t.Errorf("%s: a code is printed: %v, want %v", address, got, want)
		}
	}
}

// A connection that is not certain says so in words too, and what to do about it: a bad
// copy loses a dash.
func TestUncertainConnectionsInWords(t *testing.T) {
	t.Parallel()
	d := dossier()
	revision := &d.Boards[0].Revisions[0]
	header := *revision.Layout
	header.Connectors = slices.Clone(header.Connectors)
	header.Connectors[0].Key = standin.Maybe[string]{} // whether CN1 seats is not known
	revision.Layout = &header
	uncertain, certain := textOf(t, printed(t, sheetOf(t, d, standin.Machine{}))), textOf(t, printed(t, sample(t)))
	if missing := lacks(uncertain, "CN1 ? not certain.", "compare ways, pitch, key and wires"); len(missing) > 0 {
		t.Errorf("not printed: %q in\n%s", missing, uncertain)
	}
	if strings.Contains(certain, "not certain") {
		t.Error("what is certain is not said to be")
	}
}
