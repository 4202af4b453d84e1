package importer

import (
	"fmt"
	"strings"

	"standin"
	"standin/importer/table"
)

// freeText are the columns that are read and never looked up.
var freeText = map[string]bool{"title": true, "note": true, "do": true, "expect": true, "stop": true}

// oneAlphabet warns of names with letters of another alphabet that look like Latin
// ones: whoever looks for the name does not find it.
func oneAlphabet(at int) rule {
	return func(r *row) {
		for _, word := range strings.Fields(r.raw[at]) {
			latin := standin.InLatin(word)
			if latin == word {
				continue
			}
			f := &table.Fault{Code: standin.MixedLetters, Message: fmt.Sprintf(
				"%s looks like %s, but not all of its letters are of the Latin alphabet: nobody who types it will find it", table.Quoted(word), table.Quoted(latin))}
			r.warn(at, f.Correct(strings.Replace(r.raw[at], word, latin, 1)))
			return
		}
	}
}
