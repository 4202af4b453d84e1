package tell

import (
	"strings"

	"standin"
)

// History says what a row of a file is now, and what each import made of it,
// newest first.
func History(file string, h standin.History) string {
	p := &page{}
	if h.Now == nil {
		p.line(0, "The row is not in the catalogue any more.")
	} else {
		p.line(0, "The row of "+file+" as it is now:")
		for _, f := range h.Now {
			if f.Value != "" {
				p.item(bodyIndent, f.Column, f.Value)
			}
		}
	}
	p.blank()
	if len(h.Changes) == 0 {
		p.line(0, "No import is recorded that wrote it.")
	}
	for _, c := range h.Changes {
		tellImport(p, c.Import)
		p.item(bodyIndent, c.Op, strings.Join(changedFields(c.Change), ", "))
	}
	return p.String()
}
