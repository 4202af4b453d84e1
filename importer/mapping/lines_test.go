package mapping_test

import (
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/importer/mapping"
)

// Every line of a proposal is shown, and left as it is where nothing is chosen.
func TestLinesOfAProposal(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("testdata/proposal.yaml")
	if err != nil {
		t.Fatal(err)
	}
	lines, header, err := mapping.Lines(string(text))
	if err != nil || header != 4 || len(lines) < 15 {
		t.Fatalf("%d lines, header %d, %v", len(lines), header, err)
	}
	for i, l := range lines {
		if l.File == "" || l.Column == "" || l.Value == "" && l.SameAs == "" && l.Text == "" {
			t.Errorf("line %d: %+v", i, l)
		}
	}
	same, err := mapping.Rewrite(string(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	again, _, err := mapping.Lines(same)
	if diff := cmp.Diff(lines, again); diff != "" || err != nil {
		t.Errorf("rewritten without a change, %v (-before +after):\n%s", err, diff)
	}
}

func TestRewriteLines(t *testing.T) {
	t.Parallel()
	const text = `# a remark
table: {header: [1, 2]}
rows:
  - file: models
    columns:
      brand: &brand {column: Make, down: true} # sure: it is
      model: Type
      kind: {constant: washer}
  - file: loads
    columns:
      brand: *brand
      circuit: {constant: "?"} # which?
      watts: {columns: [a, b]}
`
	lines, header, err := mapping.Lines(text)
	want := []standin.MappingLine{
		{File: "models", Column: "brand", Value: "Make", Text: "down: true", Said: "sure: it is"},
		{File: "models", Column: "model", Value: "Type"},
		{File: "models", Column: "kind", Value: "washer", Constant: true},
		{File: "loads", Column: "brand", SameAs: "brand"},
		{File: "loads", Column: "circuit", Value: "?", Constant: true, Said: "which?"},
		{File: "loads", Column: "watts", Text: "columns: [a, b]"},
	}
	if diff := cmp.Diff(want, lines); diff != "" || err != nil || header != 2 {
		t.Fatalf("header %d, %v (-want +got):\n%s", header, err, diff)
	}
	changed, err := mapping.Rewrite(text, map[int]string{0: "Brand: new", 2: "", 3: "ignored", 4: "heater", 5: "ignored"})
	if err != nil {
		t.Fatal(err)
	}
	lines, _, err = mapping.Lines(changed)
	want = []standin.MappingLine{
		{File: "models", Column: "brand", Value: "Brand: new", Text: "down: true", Said: "sure: it is"},
		want[1], want[3],
		{File: "loads", Column: "circuit", Value: "heater", Constant: true, Said: "which?"},
		want[5],
	}
	if diff := cmp.Diff(want, lines); diff != "" || err != nil {
		t.Errorf("%v (-want +got):\n%s\n%s", err, diff, changed)
	}
	// A file goes with a column that it needs, and what others share with it stays.
	without, err := mapping.Rewrite(text, map[int]string{1: ""})
	lines, _, _ = mapping.Lines(without)
	first := want[0]
	first.File, first.Value = "loads", "Make"
	if diff := cmp.Diff([]standin.MappingLine{first, {File: "loads", Column: "circuit", Value: "?", Constant: true, Said: "which?"}, want[4]}, lines); diff != "" || err != nil {
		t.Errorf("without the models, %v (-want +got):\n%s\n%s", err, diff, without)
	}
	// So does each that shares the column itself.
	if without, err := mapping.Rewrite(text, map[int]string{0: ""}); err != nil || strings.Contains(without, "file") {
		t.Errorf("%v:\n%s", err, without)
	}
	for _, bad := range []string{"", "rows: [", "rows: {}", "- 1", "x"} {
		if lines, _, err := mapping.Lines(bad); err == nil {
			t.Errorf("%q: %+v", bad, lines)
		}
	}
}
