package sheet

import (
	"fmt"
	"strings"

	"standin"
)

// qrSide is the side of the QR code with its quiet zone, in millimetres.
const qrSide = 32

// head says which board goes into which machine, and leads to the bench page,
// where there is a code for it: at the right, with all else beside it.
func (s *Sheet) head(f *flow, code drawing) {
	room := float64(inside)
	part := bars(s.Job.Board.PartNumber, barRoom, barHeight)
	switch {
	case code != nil:
		room -= qrSide + 3
		f.add(0, func(y float64) { code(f.paper, pageWidth-margin-qrSide, y) })
	case part != nil: // stands where the code would
		room -= barRoom + 3
		f.add(0, func(y float64) { s.partNumber(f, part, pageWidth-margin-barRoom, y) })
	}
	below := f.beside()
	below.room = room
	for _, l := range s.headLines(below, room) {
		below.add(leading(l.points), func(y float64) { f.text(margin, y, l.text, l.style, l.points) })
	}
	least := barHeight + 2*leading(caption)
	if code != nil || part == nil {
		s.partNumberBelow(below, part)
		least = qrSide
	}
	height := below.together().height
	f.blocks = append(f.blocks, below.blocks...)
	if height < least && (code != nil || part != nil) {
		f.gap(least - height)
	}
}

// line is one line of type.
type line struct {
	text, style string
	points      float64
}

func (s *Sheet) headLines(f *flow, room float64) []line {
	a := s.Job.Answer
	var lines []line
	add := func(style string, points float64, text string) {
		for _, part := range f.wrap(text, style, points, room) {
			lines = append(lines, line{part, style, points})
		}
	}
	add(bold, s.namePoints(f, room), a.Machine.ModelKey.String())
	add(regular, f.points, strings.Join(machineLines(a), ". "))
	add(bold, f.points+2, "Board "+boardName(s.Job.Board))
	add(regular, f.points, strings.TrimPrefix(s.Job.Board.Title+". "+s.origin(), ". "))
	return lines
}

// namePoints is the size of the model's name: large, where that takes few lines.
func (s *Sheet) namePoints(f *flow, room float64) float64 {
	large := f.points + 6
	if len(f.wrap(s.Job.Answer.Machine.ModelKey.String(), bold, large, room)) > 2 {
		return f.points
	}
	return large
}

// machineLines are what is known of the machine besides its model.
func machineLines(a *standin.Answer) []string {
	var lines, known []string
	m := a.Machine
	for _, piece := range [][2]string{{"made", m.Made.Text}, {"serial", m.Serial}, {"plugs seen", ways(m.Plug)}, {"old board", m.OldPart}} {
		if piece[1] != "" {
			known = append(known, piece[0]+" "+piece[1])
		}
	}
	if a.TwinOf != nil {
		lines = append(lines, "The same appliance as "+a.TwinOf.String())
	}
	if len(known) > 0 {
		lines = append(lines, "Known of it: "+strings.Join(known, "; "))
	}
	for _, n := range a.NotUsed {
		lines = append(lines, "Not used: "+n.Evidence+" ("+n.Reason+")")
	}
	var labels []string
	for _, b := range a.Builds {
		if b.Label != "" {
			labels = append(labels, b.Label)
		}
	}
	if len(labels) > 0 {
		lines = append(lines, "Build: "+strings.Join(labels, " or "))
	}
	return lines
}

func ways(plug []int) string { return strings.Trim(fmt.Sprint(plug), "[]") }

// origin says where the statements come from.
func (s *Sheet) origin() string {
	sources := "not recorded"
	if len(s.Job.Sources) > 0 {
		sources = strings.Join(s.Job.Sources, "; ")
	}
	return fmt.Sprintf("Source: %s. Catalogue version %d.", sources, s.Job.Answer.CatalogueVersion)
}

// Of the bar code, in millimetres.
const (
	barHeight = 8.0
	barRoom   = 66 // so that the type of the head has room beside it
)

// partNumber is the part number as Code 128, for the till and the stock room, with
// the line for the job below it.
func (s *Sheet) partNumber(f *flow, draw drawing, x, y float64) {
	draw(f.paper, x, y)
	f.text(x, y+barHeight+0.3, f.shortened(s.Job.Board.PartNumber, regular, caption, barRoom), regular, caption)
	f.handFields(x, barRoom, y+barHeight+leading(caption)+0.6, []field{{"Job", 1}})
}

// partNumberBelow is the same below the head. One too long for the room may be a bar
// code across the page, or none.
func (s *Sheet) partNumberBelow(f *flow, draw drawing) {
	f.gap(0.8)
	part := s.Job.Board.PartNumber
	if draw != nil {
		f.add(barHeight+leading(caption), func(y float64) {
			draw(f.paper, margin, y)
			f.text(margin, y+barHeight+0.3, f.shortened(part, regular, caption, barRoom), regular, caption)
			f.handFields(margin+barRoom+4, f.room-barRoom-4, y+2, []field{{"Job", 1}})
		})
		return
	}
	if draw := bars(part, f.room, barHeight); draw != nil {
		f.add(barHeight+1, func(y float64) { draw(f.paper, margin, y) })
	} else {
		f.lines("The part number cannot be printed as a bar code.", regular, f.points)
	}
	f.add(7, func(y float64) { f.handFields(margin, f.room, y+1, []field{{"Job", 1}}) })
}

// field is a word with a line to write on, as wide as its share of the row.
type field struct {
	word  string
	share float64
}

// handFields are filled in by hand.
func (f *flow) handFields(x, room, y float64, fields []field) {
	for _, field := range fields {
		width := room * field.share
		field.word = f.say(field.word)
		f.text(x, y, field.word, regular, f.points)
		from := f.width(field.word, regular, f.points) + 1.2
		f.line(x+from, y+f.lead(), width-from-2, 0.25)
		x += width
	}
}
