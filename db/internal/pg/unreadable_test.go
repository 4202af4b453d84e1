package pg

import (
	"errors"
	"testing"

	"standin"
)

// A family whose alphabet cannot be read is refused; it does not become one of
// lamps.
func TestReadAlphabet(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{"": "10f", "lamp red-green": "0rg", "digit": "0123456789"} {
		f := standin.Family{Name: "Drum", Readback: []string{"P1", "P2"}}
		if err := ReadAlphabet(&f, text); err != nil || f.PointShows(1) != want {
			t.Errorf("%q: the second point shows %q, %v; want %q", text, f.PointShows(1), err, want)
		}
	}
	for _, text := range []string{"purple", "lamp digit lamp", "red-red"} {
		f := standin.Family{Name: "Drum", Readback: []string{"P1", "P2"}}
		err := ReadAlphabet(&f, text)
		if refused, ok := errors.AsType[*standin.Error](err); !ok || refused.Code != standin.CodeSchema {
			t.Errorf("%q: %v, want the code %s", text, err, standin.CodeSchema)
		}
	}
}
