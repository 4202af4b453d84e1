package api

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"

	"standin"
	"standin/openapi/gen"
)

// refusal is a request that HTTP or the contract refuses before the core is asked.
type refusal struct {
	kind      gen.ProblemType
	detail    string // one sentence, with what would be accepted
	parameter string // empty: it is about none
}

func (r *refusal) Error() string { return r.detail }

// refusalOf is what the validator found, in a sentence. Its own message would
// show the schema.
func refusalOf(err error) error {
	var (
		request *openapi3filter.RequestError
		schema  *openapi3.SchemaError
	)
	if !errors.As(err, &request) {
		return err
	}
	var name string // of the parameter; for a value in the body its place is found
	if request.Parameter != nil {
		name = request.Parameter.Name
	}
	switch {
	case errors.As(err, &schema):
		return schemaRefusal(name, schema)
	case errors.Is(err, openapi3filter.ErrInvalidRequired):
		return &refusal{gen.ProblemTypeBadRequest, name + " is missing.", name}
	case request.Parameter != nil:
		return &refusal{gen.ProblemTypeBadRequest, fmt.Sprintf("%s must be %s.", name, accepts(request.Parameter.Schema.Value)), name}
	}
	return &refusal{gen.ProblemTypeBadRequest, "The body is not what this call accepts; /docs shows it.", ""}
}

// schemaRefusal is a value that the contract does not allow: that of the named
// parameter, or one in the body, whose place is then a JSON pointer (RFC 6901).
func schemaRefusal(name string, err *openapi3.SchemaError) error {
	if name == "" {
		name = pointer(err.JSONPointer())
	}
	value, _ := err.Value.(map[string]any)
	switch err.SchemaField {
	case "properties":
		for _, field := range slices.Sorted(maps.Keys(value)) {
			if err.Schema.Properties[field] == nil {
				return unknownName("field", field, name+pointer([]string{field}), slices.Sorted(maps.Keys(err.Schema.Properties)))
			}
		}
	case "required":
		return &refusal{gen.ProblemTypeBadRequest, name + " is missing.", name}
	}
	return &refusal{gen.ProblemTypeBadRequest, fmt.Sprintf("%s must be %s.", cmp.Or(name, "The body"), accepts(err.Schema)), name}
}

// accepts says in words what a schema accepts.
func accepts(s *openapi3.Schema) string {
	switch {
	case len(s.Enum) == 1:
		return fmt.Sprint(s.Enum[0])
	case len(s.Enum) > 1:
		return "one of " + oneOf(s.Enum)
	case s.Format == "date-time":
		return "a time as 2026-03-06T17:00:00Z or 2026-03-06T18:00:00+01:00"
	case s.Type.Is(openapi3.TypeBoolean):
		return "true or false"
	case s.Type.Is(openapi3.TypeInteger) && s.Min != nil && s.Max != nil:
		return fmt.Sprintf("a whole number from %v to %v", *s.Min, *s.Max)
	case s.Type.Is(openapi3.TypeInteger) && s.Min != nil:
		return fmt.Sprintf("a whole number from %v", *s.Min)
	case s.Type.Is(openapi3.TypeInteger):
		return "a whole number"
	case s.Type.Is(openapi3.TypeArray) && s.MaxItems != nil:
		return fmt.Sprintf("a list of %d to %d entries", s.MinItems, *s.MaxItems)
	case s.Type.Is(openapi3.TypeArray):
		return "a list"
	case s.Type.Is(openapi3.TypeObject) && s.MaxProps != nil:
		return fmt.Sprintf("an object with at most %d entries", *s.MaxProps)
	case s.Type.Is(openapi3.TypeObject):
		return "an object with " + strings.Join(slices.Sorted(maps.Keys(s.Properties)), ", ")
	case s.MaxLength != nil:
		return fmt.Sprintf("text of at most %d characters", *s.MaxLength)
	}
	return "text"
}

// oneOf are the words of a list that says all there are.
func oneOf(enum []any) string {
	var words []string
	for _, word := range enum {
		words = append(words, fmt.Sprint(word))
	}
	return strings.Join(words, ", ")
}

// unknownName refuses a name and says which there are, and which was probably meant.
func unknownName(what, name, parameter string, accepted []string) error {
	if !printable(name) || utf8.RuneCountInString(name) > maxText {
		return &refusal{gen.ProblemTypeUnknownParameter, "A " + what + " has a name that is not known here.", ""}
	}
	detail := fmt.Sprintf("There is no %s %q here; ", what, name)
	if near := standin.NearestName(name, accepted); near != "" {
		detail += fmt.Sprintf("did you mean %s? ", near)
	}
	if len(accepted) == 0 {
		detail += "this call takes none."
	} else {
		detail += "accepted are " + strings.Join(accepted, ", ") + "."
	}
	return &refusal{gen.ProblemTypeUnknownParameter, detail, parameter}
}

func notPrintable(name string) error {
	return &refusal{gen.ProblemTypeBadRequest, name + " has characters that no label shows; give plain text.", name}
}

// printable reports whether text is UTF-8 without control characters. A NUL, for
// one, cannot be stored, so nothing recorded can have it.
func printable(text string) bool {
	return utf8.ValidString(text) && !strings.ContainsFunc(text, unicode.IsControl)
}

// pointer is a place in a body as RFC 6901 writes it.
func pointer(path []string) string {
	var b strings.Builder
	for _, step := range path {
		b.WriteString("/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(step))
	}
	return b.String()
}
