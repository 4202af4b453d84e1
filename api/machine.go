package api

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"standin"
	"standin/openapi/gen"
)

// decodeMachine is a machine as the core takes it. The error names the field
// that cannot be read and what would be.
func decodeMachine(a gen.MachineAsked) (standin.Machine, *standin.Error) {
	var m standin.Machine
	var made string
	for _, field := range []struct {
		name     string
		given    *string
		into     *string
		required bool
	}{
		{"brand", &a.Brand, &m.Brand, true},
		{"model", &a.Model, &m.Model, true},
		{"variant", a.Variant, &m.Variant, false},
		{"made", a.Made, &made, false},
		{"serial", a.Serial, &m.Serial, false},
		{"old_part", a.OldPart, &m.OldPart, false},
		{"position", a.Position, &m.Position, false},
		{"location", a.Location, &m.Location, false},
	} {
		text := strings.TrimSpace(deref(field.given))
		switch {
		case field.required && text == "":
			return m, badField(field.name, "%s is empty; give it as on the rating plate", field.name)
		case utf8.RuneCountInString(text) > maxText:
			return m, badField(field.name, "%s is longer than %d characters", field.name, maxText)
		case !printable(text):
			return m, badField(field.name, "%s has characters that no label shows; give plain text", field.name)
		}
		*field.into = text
	}
	var err error
	if m.Made, err = standin.ParseMade(made); err != nil {
		return m, badField("made", "%v", err)
	}
	if m.Plug, err = decodePlug("plug", deref(a.Plug)); err != nil {
		return m, badField("plug", "%v", err)
	}
	if m.NoPlug, err = decodePlug("no_plug", deref(a.NoPlug)); err != nil {
		return m, badField("no_plug", "%v", err)
	}
	return m, nil
}

func decodePlug(field string, plug []int) ([]int, error) {
	if len(plug) > maxPlugs {
		return nil, fmt.Errorf("%s names %d connectors; at most %d are accepted", field, len(plug), maxPlugs)
	}
	for _, ways := range plug {
		if ways < 1 || ways > maxWays {
			return nil, fmt.Errorf("a plug cannot have %d ways; from 1 to %d are accepted", ways, maxWays)
		}
	}
	return plug, nil
}

func badField(name, format string, args ...any) *standin.Error {
	return &standin.Error{Code: standin.CodeBadRequest, Message: fmt.Sprintf(format, args...), Field: name}
}

// deref is the value, or the zero value where none was given.
func deref[T any](p *T) T {
	if p == nil {
		var zero T
		return zero
	}
	return *p
}
