package tell

import (
	"fmt"
	"strings"

	"standin"
)

// Families lists families, a line or two each.
func Families(families []standin.Family) string {
	p := &page{}
	if len(families) == 0 {
		p.line(0, "The catalogue has no family yet.")
	}
	for _, f := range families {
		p.ends(0, f.Name, codeLength(f.CodeLength))
		if f.Title != "" {
			p.line(bodyIndent, f.Title)
		}
	}
	return p.String()
}

func codeLength(places int) string {
	if places == 0 {
		return "no code"
	}
	return "code of " + count(places, "place", "places")
}

// Family is one family: its selector, its read-back points, its boards, its
// code map, and its procedure step by step.
func Family(f *standin.PreparedFamily) string {
	p := &page{}
	p.ends(0, f.Name, codeLength(f.CodeLength))
	if f.Title != "" {
		p.line(bodyIndent, f.Title)
	}
	p.item(bodyIndent, "selector", orNone(strings.Join(f.Selector, " "), "nothing to select"))
	p.item(bodyIndent, "points", orNone(strings.Join(f.Readback, " "), "none, a code cannot be read back"))
	p.item(bodyIndent, "boards", orNone(strings.Join(f.Boards, ", "), "none recorded"))
	p.item(bodyIndent, "models", configured(f.Configurations))
	if f.Note != "" {
		p.item(bodyIndent, "note", f.Note)
	}
	if len(f.Readback) > 0 {
		p.item(bodyIndent, "trust", f.Trust().Text)
	}
	for _, s := range f.Table.Skipped {
		p.item(bodyIndent, "left out", s)
	}
	tellCodeMap(p, f)
	p.blank()
	switch {
	case f.Steps != nil:
		tellProcedure(p, f.Steps)
	case f.Family.Procedure != "":
		p.line(0, fmt.Sprintf("Procedure %s, of which no step is recorded.", f.Family.Procedure))
	default:
		p.line(0, "No procedure is recorded.")
	}
	return p.String()
}

// configured says how many configurations there are, and of how many models.
func configured(all []standin.Configuration) string {
	models := map[standin.ModelKey]bool{}
	for _, c := range all {
		models[c.Model] = true
	}
	return fmt.Sprintf("%s of %s", count(len(all), "configuration", "configurations"), count(len(models), "model", "models"))
}

func orNone(text, none string) string {
	if text == "" {
		return none
	}
	return text
}
