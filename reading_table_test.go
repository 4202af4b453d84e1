package standin_test

import (
	"testing"

	"standin"
)

// A family that claims codes of any length costs nothing before one is recorded.
func TestTableOfAnyLength(t *testing.T) {
	t.Parallel()
	f := &standin.Family{Name: "F", Selector: []string{"A", "B"}, CodeLength: 1 << 50, Readback: []string{"P"}}
	table := standin.NewTable(f, []standin.Configuration{{Family: "F", Code: []string{"A"}, Pattern: "1"}})
	if len(table.Settings) != 0 || len(table.Skipped) != 1 {
		t.Errorf("%d settings, skipped %q", len(table.Settings), table.Skipped)
	}
	if points := table.CodeMap().Points; len(points) != 1 || len(points[0].Places) != 0 {
		t.Errorf("the code map is %+v", points)
	}
}
