package sheet

import (
	"fmt"
	"slices"
	"strings"

	"standin"
)

// Label is the shelf label of a board that was configured for a machine's model.
type Label struct {
	Job    *standin.Job
	Family *standin.PreparedFamily // of the board; nil: nothing is recorded to name other models by
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
	p := newPaper(labelWidth, labelHeight, "Shelf label: "+boardName(l.Job.Board))
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
	put(l.set(), regular, 9, 2)
	put(l.code(), bold, 16, 2)
	put(l.pattern(), bold, 9, 2)
	put(l.alsoFor(), regular, 7, 3)
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

func (l *Label) set() string {
	machine := l.Job.Answer.Machine.ModelKey.String()
	switch l.Job.Work {
	case standin.Fixed:
		return "For " + machine + ". Nothing to configure."
	case standin.AsPreset:
		return "For " + machine + ". Supplied set for it."
	case standin.Configure, standin.NoWork:
	}
	return fmt.Sprintf("Set for %s (family %s, catalogue version %d)", machine, l.familyName(), l.Job.Answer.CatalogueVersion)
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
	return "Pattern " + string(l.Job.Pattern) + " (" + standin.PatternForms + ")"
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
