package sheet

import (
	"fmt"
	"slices"
	"strings"

	"standin"
	"standin/api/locale"
)

// Label is the shelf label of a board that was configured for a machine's model.
type Label struct {
	Job    *standin.Job
	Family *standin.PreparedFamily // of the board; nil: nothing is recorded to name other models by

	Language locale.Language // in which it is printed
}

// The label, in millimetres: what common label printers take across.
const (
	labelWidth  = 100
	labelHeight = 60
	labelEdge   = 4
	labelInside = labelWidth - 2*labelEdge
)

// PDF is the label as a document of one page.
func (l *Label) PDF() ([]byte, error) {
	p := newPaper(labelWidth, labelHeight, "Shelf label: "+boardName(l.Job.Board), l.Language)
	p.newPage()
	y := float64(labelEdge)
	put := func(text, style string, points float64, most int) {
		for _, line := range p.atMost(text, style, points, labelInside, most) {
			p.text(labelEdge, y, line, style, points)
			y += leading(points)
		}
	}
	put(boardName(l.Job.Board), bold, 12, 2)
	put(l.Job.Board.Title, regular, 7, 1)
	if draw := bars(l.Job.Board.PartNumber, labelWidth-labelEdge, 9); draw != nil {
		draw(p, labelEdge, y+1)
		y += 11.5
	}
	put(l.set(), bold, 9, 2)
	put(l.code(), bold, 14, 1)
	put(l.pattern(), regular, 7, 3)
	put(l.adaptors(), bold, 8, 1)
	l.proved(p, y+0.5)
	y += leading(9) + 1.5
	put(l.alsoFor(), regular, 6.5, int((labelHeight-labelEdge/2-y)/leading(6.5)))
	return p.bytes()
}

// atMost is a text in so many lines at most, with dots where something is missing.
func (p *paper) atMost(text, style string, points, width float64, most int) []string {
	lines := p.wrap(text, style, points, width)
	if len(lines) > most {
		lines = lines[:most]
		lines[most-1] = p.shortened(lines[most-1]+" "+strings.Repeat("…", 3), style, points, width)
	}
	return lines
}

// set says what the board was set for: model and build.
func (l *Label) set() string {
	machine := l.Job.Answer.Machine.ModelKey.String() + l.build()
	switch l.Job.Work {
	case standin.Fixed:
		return "For " + machine + ". Nothing to configure."
	case standin.AsPreset:
		return "Supplied set for " + machine
	case standin.Configure, standin.NoWork:
	}
	return fmt.Sprintf("Set for %s (family %s, catalogue version %d)", machine, l.familyName(), l.Job.Answer.CatalogueVersion)
}

// build names the builds it was set for, where the model has several.
func (l *Label) build() string {
	labels := standin.Labels(l.Job.Board.Builds)
	if len(labels) == 1 && labels[0] == "" {
		return ""
	}
	return ", " + standin.BuildNames(labels)
}

// adaptors are to go with the board.
func (l *Label) adaptors() string {
	if len(l.Job.Adaptors) == 0 {
		return ""
	}
	return "With adaptor " + standin.AndList(l.Job.Adaptors)
}

// proved are the box and the lines for who proved the setting, and when.
func (l *Label) proved(p *paper, y float64) {
	if !l.Job.NeedsProof() {
		return
	}
	const points = 9
	x := float64(labelEdge)
	for _, part := range []struct {
		word string
		line float64 // to write on after it
	}{{"proved", 0}, {"by", 34}, {"on", 28}} {
		part.word = p.say(part.word)
		p.text(x, y, part.word, bold, points)
		x += p.width(part.word, bold, points) + 1
		if part.line == 0 {
			p.box(x, y+0.2, tickSize, tickSize, 0.4)
			x += tickSize + 3
			continue
		}
		p.line(x, y+leading(points), part.line, 0.25)
		x += part.line + 2
	}
}

func (l *Label) familyName() string {
	if l.Job.Family == nil {
		return "not recorded"
	}
	return l.Job.Family.Name
}

func (l *Label) code() string {
	if len(l.Job.Code) == 0 {
		return ""
	}
	return "Code " + strings.Join(l.Job.Code, " ")
}

func (l *Label) pattern() string {
	if l.Job.Pattern == "" || l.Job.Family == nil {
		return ""
	}
	var points []string
	for i := range min(len(l.Job.Pattern), len(l.Job.Family.Readback)) {
		points = append(points, l.Job.Family.Readback[i]+" "+l.Job.Family.Shown(i, l.Job.Pattern[i]))
	}
	return "Must show " + strings.Join(points, ", ")
}

// alsoFor names the other models that the same code and pattern are recorded
// for. Whether the board fits them is another question.
func (l *Label) alsoFor() string {
	if l.Family == nil || l.Job.Work != standin.Configure {
		return ""
	}
	var names []string
	for i := range l.Family.Table.Settings {
		s := &l.Family.Table.Settings[i]
		if !slices.Equal(s.Code, l.Job.Code) || s.Pattern != l.Job.Pattern {
			continue
		}
		for _, model := range s.Models() {
			if model != l.Job.Answer.Model.ModelKey {
				names = append(names, model.String())
			}
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "Same code recorded for (ask whether the board fits): " + strings.Join(names, ", ")
}
