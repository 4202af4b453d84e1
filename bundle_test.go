package standin

import "testing"

// What is no column in the description of a file stops the program as it starts.
func TestColumnsRefusesOthers(t *testing.T) {
	t.Parallel()
	defer func() {
		if recover() == nil {
			t.Error("a word is taken for a column")
		}
	}()
	columns(key("brand"), "model")
}
