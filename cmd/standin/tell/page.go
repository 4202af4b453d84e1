package tell

import (
	"strings"

	"standin"
)

// Width is the most columns that a line takes.
const Width = 80

// Columns of the text: bodies stand below their heading, and the text of a
// labelled item stands clear of the longest label.
const (
	bodyIndent  = 4
	labelColumn = 11
)

// nbsp is a space at which no line is broken; it is printed as a space.
const nbsp = "\u00a0"

// page is text in the making.
type page struct {
	text strings.Builder
}

// String is the text, blank lines at its end left out.
func (p *page) String() string {
	return strings.TrimRight(p.text.String(), "\n") + "\n"
}

// Sentence is a sentence on lines of its own.
func Sentence(text string) string {
	p := &page{}
	p.line(0, standin.Sentence(text))
	return p.String()
}

// blank ends a paragraph: one empty line, however often it is asked for.
func (p *page) blank() {
	if s := p.text.String(); s != "" && !strings.HasSuffix(s, "\n\n") {
		p.text.WriteByte('\n')
	}
}

// line writes text that begins at a column and stays to the right of it.
func (p *page) line(indent int, text string) {
	p.hanging("", indent, text)
}

// item writes text with a label in the gutter left of it; a label that reaches
// into the text stands on a line of its own.
func (p *page) item(indent int, label, text string) {
	column := indent + labelColumn
	if width(clean(label)) >= labelColumn {
		p.line(indent, label)
		label = ""
	}
	p.hanging(strings.Repeat(nbsp, indent)+label, column, text)
}

// bullet writes text behind a dash.
func (p *page) bullet(indent int, text string) {
	p.hanging(strings.Repeat(nbsp, indent)+"-", indent+2, text)
}

// ends writes text at the left, from a column on, and a word at the right
// margin, on one line where there is room for both.
func (p *page) ends(indent int, left, right string) {
	left, right = clean(left), clean(right)
	room := Width - indent - width(left) - width(right)
	if right == "" || room < 2 {
		p.line(indent, left)
		if right != "" {
			p.line(indent+bodyIndent, right)
		}
		return
	}
	p.line(indent, bound(left+strings.Repeat(" ", room)+right))
}

// hanging writes lead and, from a column beyond it, the text.
func (p *page) hanging(lead string, column int, text string) {
	lead = clean(lead)
	lead += strings.Repeat(nbsp, column-width(lead))
	for _, l := range wrap(clean(text), Width-column) {
		p.text.WriteString(strings.TrimRight(unbound(lead+l), " ") + "\n")
		lead = strings.Repeat(nbsp, column)
	}
}

// unbound is the text as it is printed.
func unbound(text string) string { return strings.ReplaceAll(text, nbsp, " ") }

// bound is the text with its spaces kept from breaking.
func bound(text string) string { return strings.ReplaceAll(text, " ", nbsp) }
