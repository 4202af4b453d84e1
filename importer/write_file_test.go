package importer_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"standin/importer"
	"standin/importer/importertest"
)

// The characters are those of OWASP's page on CSV injection.
func TestDefuse(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"":              "",
		"10f-":          "10f-",
		"-10f":          "'-10f",
		`=HYPERLINK(1)`: `'=HYPERLINK(1)`,
		"+1":            "'+1",
		"@SUM(A1)":      "'@SUM(A1)",
		"\tx":           "'\tx",
		"\r=x":          "'\r=x",
		"'=x":           "''=x",
		"'s Hertog":     "'s Hertog",
		"'":             "'",
		"a=b":           "a=b",
	} {
		if got := importer.Defuse(text); got != want {
			t.Errorf("Defuse(%q) = %q, want %q", text, got, want)
		}
		if got := importer.Refuse(want); got != text {
			t.Errorf("Refuse(%q) = %q, want %q", want, got, text)
		}
	}
}

func TestRefuseUndoesDefuse(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`('{0,3}[-=+@\t\r]?)?.{0,8}`).Draw(t, "text")
		cell := importer.Defuse(text)
		if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r") {
			t.Fatalf("Defuse(%q) = %q is live", text, cell)
		}
		if got := importer.Refuse(cell); got != text {
			t.Fatalf("%q came back as %q", text, got)
		}
	})
}

// What was defused is read as it was.
func TestDefusedIsRead(t *testing.T) {
	t.Parallel()
	_, store := importertest.Run(t, importertest.Folder(t, map[string]string{"sources.csv": "source,title\nS,'=1+1\n"}))
	if got := store.Staged["sources"]; len(got) != 1 || got[0].Cells[1] != "=1+1" {
		t.Errorf("staged %v, want the title =1+1", got)
	}
}
