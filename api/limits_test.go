package api

import (
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"standin"
)

// The limits in the contract are those of the program.
func TestLimitsAreThoseOfTheContract(t *testing.T) {
	t.Parallel()
	c, err := loadContract(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if got := *c.document.Components.Schemas["TypedText"].Value.MaxLength; got != maxText {
		t.Errorf("TypedText has at most %d characters, the program takes %d", got, maxText)
	}
	for path, want := range map[string]int{"/v1/families": defaultLimit, "/v1/boards/{part_number}/models": defaultLimit, "/v1/boards": defaultLimit, "/v1/adaptors": defaultLimit} {
		limit := c.document.Paths.Value(path).Get.Parameters.GetByInAndName(openapi3.ParameterInQuery, "limit")
		if got := limit.Schema.Value.Default; got != float64(want) {
			t.Errorf("%s: limit is %v by default, in the program %d", path, got, want)
		}
	}
}

func TestNearest(t *testing.T) {
	t.Parallel()
	accepted := []string{"brand", "model", "serial", "plug", "q"}
	for name, want := range map[string]string{
		"serail":    "serial", // neighbours exchanged
		"seriall":   "serial", // one added
		"seral":     "serial", // one left out
		"modul":     "model",  // one wrong
		"plgu":      "plug",
		"sreail":    "serial", // two slips
		"serrrial":  "serial",
		"serrrrial": "", // three are another word
		"colour":    "",
		"x":         "", // as near to q as to anything
		"":          "",
	} {
		if got := standin.NearestName(name, accepted); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}
