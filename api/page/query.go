package page

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"standin"
)

// maxText is how many characters a value of an address may have.
const maxText = 200

// The parameters of an address. Those of a machine are those of /v1/fits.
var (
	machineNames = []string{"brand", "model", "variant", "made", "serial", "plug", "old_part", "position", "location"}
	findNames    = []string{"q", "location"}
)

// read is the parameters of a request, all of which must be among names. A
// misspelt one must not silently widen an answer, so it is refused by name.
func read(r *http.Request, names []string) (url.Values, *standin.Error) {
	query, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		return nil, bad("", "the address cannot be read after its question mark; write a %s in a value as %s", "%", "%25")
	}
	for name, values := range query {
		if !slices.Contains(names, name) {
			return query, bad(name, "this page takes no %q; it takes %s", shortened(name), standin.AndList(names))
		}
		if len(values) > 1 {
			return query, bad(name, "%s is given %d times; give it once", name, len(values))
		}
		text := strings.TrimSpace(values[0])
		switch {
		case utf8.RuneCountInString(text) > maxText:
			return query, bad(name, "%s is longer than %d characters", name, maxText)
		case !printable(text):
			return query, bad(name, "%s has characters that no label shows; give plain text", name)
		}
		query[name] = []string{text}
	}
	return query, nil
}

// readMachine is the machine that a query asks for. The error names the
// parameter that cannot be read, and what could be.
func readMachine(query url.Values) (standin.Machine, *standin.Error) {
	m := standin.Machine{
		ModelKey: standin.ModelKey{Brand: query.Get("brand"), Model: query.Get("model"), Variant: query.Get("variant")},
		Serial:   query.Get("serial"), OldPart: query.Get("old_part"), Position: query.Get("position"), Location: query.Get("location"),
	}
	for _, name := range []string{"brand", "model"} {
		if query.Get(name) == "" {
			return m, bad(name, "%s is empty; give it as on the rating plate", name)
		}
	}
	var err error
	if m.Made, err = standin.ParseMade(query.Get("made")); err != nil {
		return m, bad("made", "%v", err)
	}
	if m.Plug, m.NoPlug, err = standin.ParsePlug(query.Get("plug")); err != nil {
		return m, bad("plug", "%v", err)
	}
	return m, nil
}

func bad(field, format string, args ...any) *standin.Error {
	return &standin.Error{Code: standin.CodeBadRequest, Message: fmt.Sprintf(format, args...), Field: field}
}

// printable reports whether text is UTF-8 without control characters.
func printable(text string) bool {
	return utf8.ValidString(text) && !strings.ContainsFunc(text, unicode.IsControl)
}

// shortened is the beginning of a name that anybody may have made up.
func shortened(name string) string {
	name = strings.ToValidUTF8(name, "?")
	if runes := []rune(name); len(runes) > 40 {
		return string(runes[:40]) + "…"
	}
	return name
}
