package tell

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestTyped(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ kind, answer, want string }{
		{standin.EvidencePlug, "10", "--plug 10"},
		{standin.EvidencePlug, "3 10", `--plug "3 10"`},
		{standin.EvidenceOldPart, "QX 1", `--old-part "QX 1"`},
		{standin.EvidenceMade, "../2001-02-28", "--made ../2001-02-28"},
	} {
		if got := unbound(typed(c.kind, c.answer)); got != c.want {
			t.Errorf("%s %s: %s, want %s", c.kind, c.answer, got, c.want)
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
