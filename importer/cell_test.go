package importer

import (
	"strings"
	"testing"

	"standin"
	"standin/importer/table"
)

// GS1 General Specifications 7.9.1 with its published examples; the last is
// from memory.
func TestCheckDigit(t *testing.T) {
	t.Parallel()
	for digits, want := range map[string]byte{
		"629104150021": '3', "730001100001": '7', "890400021003": '7', "03600024145": '7',
		"4098765000022": '3', "37610425002123456": '9', "9638507": '4',
	} {
		if got := standin.CheckDigit(digits); got != want {
			t.Errorf("CheckDigit(%s) = %c, want %c", digits, got, want)
		}
	}
}

// Every single wrong digit is caught; neighbours that differ by five and are
// exchanged are not (GS1 General Specifications 7.9.1).
func TestCheckDigitCatches(t *testing.T) {
	t.Parallel()
	const good = "6291041500213"
	for i := range good {
		for d := byte('0'); d <= '9'; d++ {
			if d == good[i] {
				continue
			}
			if _, f := parseGTIN(good[:i] + string(d) + good[i+1:]); f == nil {
				t.Errorf("%c for digit %d of %s is not caught", d, i+1, good)
			}
		}
	}
	if _, f := parseGTIN("1600000000001"); f != nil {
		t.Fatalf("1600000000001: %v", f)
	}
	if _, f := parseGTIN("6100000000001"); f != nil {
		t.Errorf("1 and 6 exchanged are caught: %v", f)
	}
}

// The exchange that repairs a GTIN is named where there is one alone, and then it is
// the right one; a correction is never offered.
func TestGTINNeighboursExchanged(t *testing.T) {
	t.Parallel()
	named := 0
	for _, good := range []string{"6291041500213", "7300011000017", "8904000210037", "036000241457", "96385074"} { // as above
		for i := range len(good) - 1 {
			wrong := good[:i] + good[i+1:i+2] + good[i:i+1] + good[i+2:]
			_, f := parseGTIN(wrong)
			if f == nil {
				continue // alike, or they differ by five
			}
			_, meant, found := strings.Cut(f.Message, "it would be right: ")
			if found && !strings.HasPrefix(meant, good+";") || f.Correction != "" {
				t.Errorf("%s for %s: %s (%s)", wrong, good, f.Message, f.Correction)
			}
			if found {
				named++
			}
		}
	}
	if named == 0 {
		t.Error("no exchange is named")
	}
}

// A GTIN has one of four lengths (GS1 General Specifications 7.9.1).
func TestGTINLengths(t *testing.T) {
	t.Parallel()
	for length := 1; length <= 18; length++ {
		digits := strings.Repeat("4", length-1)
		_, f := parseGTIN(digits + string(standin.CheckDigit(digits)))
		if accepted := length == 8 || length == 12 || length == 13 || length == 14; (f == nil) != accepted {
			t.Errorf("%d digits: %v", length, f)
		}
	}
}

func TestLookalike(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ symbol, selector, want string }{
		{"O", "0 1", "0"}, {"l", "0 1", "1"}, {"I", "1 2", "1"}, {"5", "R S", "S"}, {"8", "A B", "B"}, {"Z", "1 2", "2"},
		{"a", "A B", "A"}, {"x", "X x1", "X"}, {"L", "1 2", "1"}, {"q", "A B", ""}, {"o", "O 0", "O"}, {"ab", "AB aB", ""},
	} {
		if got := lookalike(c.symbol, strings.Fields(c.selector)); got != c.want {
			t.Errorf("lookalike(%s, %s) = %q, want %q", c.symbol, c.selector, got, c.want)
		}
	}
}

// What is offered as a correction is accepted, whatever was typed; and nothing
// panics.
func FuzzCell(f *testing.F) {
	for _, text := range []string{"12", "1,5", "2.000,5", "230 V", "50/60 Hz", "2004-W53", "17.9.2004", "none", "x\x00", "9638507", "^(?P<y1>.)", "l0f–"} {
		f.Add(text)
	}
	s := newShape([]string{"0", "1", "A"}, standin.Known(2), standin.Known(3))
	f.Fuzz(func(t *testing.T, text string) {
		if text = table.Trim(text); text == "" {
			return
		}
		for _, file := range standin.Files {
			for _, c := range file.Columns {
				_, fault := parseCell(c, text)
				if fault == nil || fault.Correction == "" {
					continue
				}
				if _, again := parseCell(c, fault.Correction); again != nil && !outOfRange(again) {
					t.Fatalf("%s.%s: %q is corrected to %q: %v", file.Name, c.Name, text, fault.Correction, again)
				}
			}
		}
		_, faults := parseCode(s, text)
		for _, fault := range faults {
			if fault.Correction != "" {
				if _, again := parseCode(s, fault.Correction); again != nil {
					t.Fatalf("code %q is corrected to %q: %v", text, fault.Correction, again[0])
				}
			}
		}
		if _, fault := parsePattern(s, text); fault != nil && fault.Correction != "" {
			if _, again := parsePattern(s, fault.Correction); again != nil {
				t.Fatalf("pattern %q is corrected to %q: %v", text, fault.Correction, again)
			}
		}
	})
}

// outOfRange is a fault of a number that was read.
func outOfRange(f *table.Fault) bool {
	return strings.Contains(f.Message, "must be") || strings.Contains(f.Message, "too large")
}
