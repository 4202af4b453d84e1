package tell

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestTyped(t *testing.T) {
	t.Parallel()
	spring, err := standin.ParseMade("2001-02/2001-04")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, kind, answer string
		machine            standin.Machine
		want               string
	}{
		{"plug", standin.EvidencePlug, "10", standin.Machine{}, "--plug 10"},
		{"plug beside one seen", standin.EvidencePlug, "10", standin.Machine{Plug: []int{3}}, `--plug "3 10"`},
		{"old part", standin.EvidenceOldPart, "QX 1", standin.Machine{}, `--old-part "QX 1"`},
		{"made", standin.EvidenceMade, "../2001-02-28", standin.Machine{}, "--made ../2001-02-28"},
		{"made, narrowed", standin.EvidenceMade, "../2001-02-28", standin.Machine{Made: spring}, "--made 2001-02-01/2001-02-28"},
		{"made, narrowed at the other end", standin.EvidenceMade, "2001-03-01/..", standin.Machine{Made: spring}, "--made 2001-03-01/2001-04-30"},
	} {
		if got := unbound(typed(c.kind, c.answer, c.machine)); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

func TestQuoted(t *testing.T) {
	t.Parallel()
	for value, want := range map[string]string{
		"DW640":       "DW640",
		"DW 640":      `"DW 640"`,
		"":            `""`,
		"a;rm":        `"a;rm"`,
		"$HOME":       "'$HOME'",
		`5" dial`:     `'5" dial'`,
		"it's 5\" $1": `'it'\''s 5" $1'`,
		"*":           `"*"`,
	} {
		if got := quoted(value); got != want {
			t.Errorf("%q is quoted %s, want %s", value, got, want)
		}
	}
}

func TestWrap(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text string
		want []string
	}{
		{"", []string{""}},
		{"12345678", []string{"12345678"}},
		{"1234 678", []string{"1234 678"}},
		{"1234 6789", []string{"1234", "6789"}},
		{"123456789", []string{"12345678", "9"}},
		{"1 3456789012", []string{"1", "34567890", "12"}},
		{"K1" + nbsp + "lit K2" + nbsp + "lit", []string{"K1" + nbsp + "lit", "K2" + nbsp + "lit"}},
		{"配線盤配線", []string{"配線盤配", "線"}}, // two columns each
	} {
		got := wrap(c.text, 8)
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%q in 8 columns (-want +got):\n%s", c.text, diff)
		}
		if whole := strings.ReplaceAll(strings.Join(got, ""), " ", ""); whole != strings.ReplaceAll(c.text, " ", "") {
			t.Errorf("%q loses something: %q", c.text, got)
		}
	}
}
