package sheet

import (
	"fmt"
	"strings"

	"standin"
)

// qrSide is the side of the QR code with its quiet zone, in millimetres.
const qrSide = 32

// head says which board goes into which machine, and leads to the bench page,
// where there is a code for it. The lines stand beside the code, and go on below.
func (s *Sheet) head(f *flow, code drawing) {
	room := float64(inside)
	if code != nil {
		room -= qrSide + 3
		f.add(0, func(y float64) {
			code(f.paper, pageWidth-margin-qrSide, y)
			f.text(pageWidth-margin-qrSide+4, y+qrSide-2.4, "this job at the bench", regular, 7)
		})
	}
	height := 0.0
	for _, l := range s.headLines(f, room) {
		f.add(leading(l.points), func(y float64) { f.text(margin, y, l.text, l.style, l.points) })
		height += leading(l.points)
	}
	if least := float64(qrSide); code != nil && height < least {
		f.gap(least - height)
	}
	s.partNumber(f)
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
	add(bold, f.points, "JOB SHEET")
	add(bold, s.namePoints(f, room), a.Machine.ModelKey.String())
	for _, said := range machineLines(a) {
		add(regular, f.points, said)
	}
	add(bold, f.points+2, "Board "+boardName(s.Job.Board))
	add(regular, f.points, s.Job.Board.Title)
	add(regular, f.points, s.origin())
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

// Of the row below the head, in millimetres.
const (
	barHeight = 8
	barRoom   = 90 // for a bar code with the fields beside it
)

// partNumber is the part number as Code 128, for the till and the stock room,
// and beside it the fields.
func (s *Sheet) partNumber(f *flow) {
	part := s.Job.Board.PartNumber
	points := f.small()
	f.gap(0.8)
	if draw := bars(part, barRoom, barHeight); draw != nil {
		f.add(barHeight+leading(points), func(y float64) {
			draw(f.paper, margin, y)
			f.text(margin, y+barHeight+0.3, f.shortened(part, regular, points, barRoom), regular, points)
			f.fields(margin+barRoom+4, inside-barRoom-4, y+2)
		})
		return
	}
	if draw := bars(part, inside, barHeight); draw != nil {
		f.add(barHeight+1, func(y float64) { draw(f.paper, margin, y) })
	} else {
		f.lines("The part number cannot be printed as a bar code.", regular, points)
	}
	f.add(7, func(y float64) { f.fields(margin, inside, y+1) })
}

// field is a word with a line to write on, as wide as its share of the row.
type field struct {
	word  string
	share float64
}

// fields are filled in by hand at the beginning of a job.
func (f *flow) fields(x, room, y float64) {
	f.handFields(x, room, y, []field{{"Job", 0.3}, {"Date", 0.3}, {"Name", 0.4}})
}

func (f *flow) handFields(x, room, y float64, fields []field) {
	for _, field := range fields {
		width := room * field.share
		f.text(x, y, field.word, regular, f.points)
		from := f.width(field.word, regular, f.points) + 1.2
		f.line(x+from, y+f.lead(), width-from-2, 0.25)
		x += width
	}
}
