package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"unicode/utf8"

	"standin/openapi/gen"
)

// checkJSON refuses what is not one JSON text whose names are unique in their
// object (RFC 8259, 2, 4 and 8.1). A decoder would stop after the first text,
// replace what is not UTF-8, and take the last of two values.
func checkJSON(body []byte) error {
	var (
		whole json.RawMessage
		wrong *json.SyntaxError
	)
	switch err := json.Unmarshal(body, &whole); {
	case errors.As(err, &wrong):
		return &refusal{gen.ProblemTypeBadRequest, fmt.Sprintf("The body is not JSON; it breaks at byte %d.", wrong.Offset), ""}
	case !utf8.Valid(body):
		return &refusal{gen.ProblemTypeBadRequest, "The body is not UTF-8.", ""}
	}
	if place := repeatedName(body); place != nil {
		if !printable(place[len(place)-1]) {
			return &refusal{gen.ProblemTypeBadRequest, "A field is given more than once; give it once.", ""}
		}
		at := pointer(place)
		return &refusal{gen.ProblemTypeBadRequest, shorten(at) + " is given more than once; give it once.", at}
	}
	return nil
}

// shorten is text of a size for a sentence.
func shorten(text string) string {
	if utf8.RuneCountInString(text) > maxText {
		return string([]rune(text)[:maxText]) + "…"
	}
	return text
}

// level is an object or a list that a walk is in.
type level struct {
	names map[string]bool // that the object has had so far; nil: a list
	step  string          // of the value the walk is at: its name, empty before one
	index int             // in a list
}

// repeatedName is the place of the first name that its object has twice, nil where
// there is none. The body is JSON.
func repeatedName(body []byte) []string {
	var levels []*level
	decoder := json.NewDecoder(bytes.NewReader(body))
	for {
		token, err := decoder.Token()
		if err != nil {
			return nil
		}
		name, isText := token.(string)
		if n := len(levels); n > 0 && isText && levels[n-1].names != nil && levels[n-1].step == "" {
			in := levels[n-1]
			in.step = name + "\x00" // so that an empty name is a name too
			if in.names[name] {
				return placeOf(levels)
			}
			in.names[name] = true
			continue
		}
		switch token {
		case json.Delim('{'):
			levels = append(levels, &level{names: map[string]bool{}})
			continue
		case json.Delim('['):
			levels = append(levels, &level{})
			continue
		case json.Delim('}'), json.Delim(']'):
			levels = levels[:len(levels)-1]
		}
		if n := len(levels); n > 0 { // a value is complete
			levels[n-1].step = ""
			levels[n-1].index++
		}
	}
}

// placeOf is where a walk is, a step for each level.
func placeOf(levels []*level) []string {
	place := make([]string, len(levels))
	for i, l := range levels {
		place[i] = strconv.Itoa(l.index)
		if l.names != nil {
			place[i] = l.step[:len(l.step)-1]
		}
	}
	return place
}
