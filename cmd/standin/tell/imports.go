package tell

import (
	"fmt"
	"strings"
	"time"

	"standin"
)

// Findings lists what an import has to say about places in a bundle, and how
// many there are beyond those listed.
func Findings(findings []standin.Finding, errors, warnings int) string {
	p := &page{}
	for _, f := range findings {
		p.ends(0, place(f)+" "+f.Code, f.Severity.String())
		p.line(bodyIndent, stopped(f.Message))
		if f.Correction != "" {
			p.line(bodyIndent, "Right would be: "+f.Correction)
		}
	}
	if more := errors + warnings - len(findings); more > 0 {
		p.line(0, fmt.Sprintf("and %s more.", count(more, "finding", "findings")))
	}
	if errors+warnings > 0 {
		p.line(0, fmt.Sprintf("%s, %s.", count(errors, "error", "errors"), count(warnings, "warning", "warnings")))
	}
	if p.text.Len() == 0 {
		return ""
	}
	return p.String()
}

// place is where a finding is, as "boards.csv:12 family".
func place(f standin.Finding) string {
	at := f.File
	if f.Line > 0 {
		at += fmt.Sprintf(":%d", f.Line)
	}
	if f.Column != "" {
		at += " " + f.Column
	}
	return at
}

// Diff says what an import changes: first which supply stops it lifts, then a file at
// a time, with details row by row and column by column.
func Diff(files []standin.FileDiff, details bool) string {
	p := &page{}
	if lifted := standin.LiftedStops(files); len(lifted) > 0 {
		p.line(0, "Supply stops that are lifted:")
		for _, c := range lifted {
			p.item(bodyIndent, c.Op, change(c))
		}
	}
	for _, f := range files {
		said := tally(f.Added, f.Changed, f.Removed) + fmt.Sprintf(", %d unchanged", f.Unchanged)
		if f.LeftOut > 0 {
			said += fmt.Sprintf(", %d left out", f.LeftOut)
		}
		p.ends(0, f.File, said)
		if !details {
			continue
		}
		for _, c := range f.Changes {
			if c.LiftsStop {
				continue // said above
			}
			p.item(bodyIndent, c.Op, change(c))
		}
		if more := f.Added + f.Changed + f.Removed - len(f.Changes); more > 0 && len(f.Changes) > 0 {
			p.line(bodyIndent, fmt.Sprintf("and %d more", more))
		}
	}
	if p.text.Len() == 0 {
		return ""
	}
	return p.String()
}

func tally(added, changed, removed int) string {
	return fmt.Sprintf("%d added, %d changed, %d removed", added, changed, removed)
}

// change is a row by its key, with the columns that differ or are recorded.
func change(c standin.Change) string {
	var key []string
	for _, f := range c.Key {
		if f.Value != "" {
			key = append(key, f.Column+" "+f.Value)
		}
	}
	said := strings.Join(key, ", ")
	if fields := changedFields(c); len(fields) > 0 {
		said += ": " + strings.Join(fields, ", ")
	}
	return said
}

// changedFields are the columns that differ or are recorded.
func changedFields(c standin.Change) []string {
	var fields []string
	for _, f := range c.Fields {
		switch {
		case c.Op == "changed":
			fields = append(fields, fmt.Sprintf("%s was %s, becomes %s", f.Column, orNothing(f.Before), orNothing(f.After)))
		case f.After != "":
			fields = append(fields, f.Column+" "+f.After)
		case f.Before != "":
			fields = append(fields, f.Column+" "+f.Before)
		}
	}
	return fields
}

func orNothing(value string) string { return orNone(value, "not recorded") }

// Import says what one import did.
func Import(i standin.Import) string {
	p := &page{}
	tellImport(p, i)
	return p.String()
}

// Imports lists imports, an entry each.
func Imports(imports []standin.Import) string {
	p := &page{}
	if len(imports) == 0 {
		p.line(0, "Nothing has been imported yet.")
	}
	for _, i := range imports {
		tellImport(p, i)
	}
	return p.String()
}

func tellImport(p *page, i standin.Import) {
	p.ends(0, fmt.Sprintf("Import %d, %s", i.ID, i.Bundle), i.At.UTC().Format(time.RFC3339))
	said := tally(i.Added, i.Changed, i.Removed) + fmt.Sprintf("; catalogue version %d", i.CatalogueVersion)
	if i.By != "" {
		said += "; by " + i.By
	}
	if i.Undoes != 0 {
		said += fmt.Sprintf("; undoes import %d", i.Undoes)
	}
	if i.UndoneBy != 0 {
		said += fmt.Sprintf("; undone by import %d", i.UndoneBy)
	}
	p.line(bodyIndent, said)
}
