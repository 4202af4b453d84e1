package pg

import (
	"fmt"

	"standin"
)

// Unreadable is the error for something stored in a form that this program does
// not know.
func Unreadable(what string, cause error) error {
	return &standin.Error{
		Code:    standin.CodeSchema,
		Message: fmt.Sprintf("the %s in the database is not one that this program can read", what),
		Cause:   cause,
	}
}

// ReadAlphabet sets what the read-back points of f may show, by the text of its
// row; f has its name and its read-back points already. The error is Unreadable's:
// nothing may be said of such a family, least of all that its points are lamps.
func ReadAlphabet(f *standin.Family, text string) error {
	alphabet, err := standin.ParseAlphabet(text, len(f.Readback))
	if err != nil {
		return Unreadable("alphabet of family "+f.Name, err)
	}
	f.Alphabet = alphabet
	return nil
}
