package demo

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"standin"
)

// expectation is one machine and what must be answered for it.
type expectation struct {
	where   string // file:line of its first line
	machine standin.Machine
	claims  []claim
}

// readExpectations reads the .txt files of a folder, README.txt left out.
func readExpectations(dir fs.FS) ([]expectation, error) {
	names, err := fs.Glob(dir, "*.txt")
	if err != nil {
		return nil, err
	}
	var all []expectation
	for _, name := range names {
		if path.Base(name) == "README.txt" {
			continue
		}
		text, err := fs.ReadFile(dir, name)
		if err != nil {
			return nil, err
		}
		of, err := parseExpectations(name, string(text))
		if err != nil {
			return nil, err
		}
		all = append(all, of...)
	}
	return all, nil
}

// parseExpectations reads one file. Empty lines part the cases; remarks alone
// between empty lines are no case.
func parseExpectations(name, text string) ([]expectation, error) {
	var all []expectation
	lines := strings.Split(text, "\n")
	for from := 0; from < len(lines); {
		to := from
		for to < len(lines) && strings.TrimSpace(lines[to]) != "" {
			to++
		}
		if block := lines[from:to]; !remarksOnly(block) {
			e, err := parseExpectation(name, from+1, block)
			if err != nil {
				return nil, err
			}
			all = append(all, e)
		}
		from = to + 1
	}
	return all, nil
}

func remarksOnly(block []string) bool {
	for _, line := range block {
		if !strings.HasPrefix(line, "#") {
			return false
		}
	}
	return true
}

func parseExpectation(name string, first int, block []string) (expectation, error) {
	e := expectation{where: place(name, first)}
	if !strings.HasPrefix(block[0], "# Why: ") {
		return e, fmt.Errorf("%s: a case begins with its reason, # Why: …", e.where)
	}
	given := map[string]bool{}
	for i, line := range block {
		if strings.HasPrefix(line, "#") {
			continue
		}
		where := place(name, first+i)
		directive, value, _ := strings.Cut(line, ":")
		value = strings.TrimSpace(value)
		var err error
		if directive == "expect" {
			err = e.expect(where, value)
		} else if given[directive] {
			err = fmt.Errorf("%s is given twice", directive)
		} else {
			given[directive] = true
			err = tell(&e.machine, directive, value)
		}
		if err != nil {
			return e, fmt.Errorf("%s: %w", where, err)
		}
	}
	if e.machine.Brand == "" || len(e.claims) == 0 {
		return e, fmt.Errorf("%s: a case names a machine and expects something", e.where)
	}
	return e, nil
}

func place(name string, line int) string { return fmt.Sprintf("%s:%d", name, line) }

func (e *expectation) expect(where, text string) error {
	holds, err := parseClaim(text)
	if err != nil {
		return err
	}
	e.claims = append(e.claims, claim{where, text, holds})
	return nil
}

var directives = []string{"machine", "made", "serial", "plug", "old_part", "position", "location"}

// tell sets what a directive says of the machine.
func tell(m *standin.Machine, directive, value string) (err error) {
	if !slices.Contains(directives, directive) {
		return fmt.Errorf("%q is not a directive; they are %s and expect", directive, strings.Join(directives, ", "))
	}
	if value == "" {
		return fmt.Errorf("%s: says nothing", directive)
	}
	switch directive {
	case "machine":
		m.ModelKey, err = parseKey(value)
	case "made":
		m.Made, err = standin.ParseMade(value)
	case "serial":
		m.Serial = value
	case "plug":
		m.Plug, m.NoPlug, err = standin.ParsePlug(value)
	case "old_part":
		m.OldPart = value
	case "position":
		m.Position = value
	case "location":
		m.Location = value
	}
	return err
}

// parseKey reads "Brand Model" or "Brand Model / Variant"; the brand is one word.
func parseKey(text string) (k standin.ModelKey, err error) {
	model, variant, _ := strings.Cut(text, " / ")
	brand, model, ok := strings.Cut(model, " ")
	if !ok {
		return k, fmt.Errorf("%q is not a brand and a model", text)
	}
	return standin.ModelKey{Brand: brand, Model: model, Variant: variant}, nil
}
