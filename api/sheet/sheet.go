package sheet

import (
	"fmt"

	"standin"
)

// Sheet is the job sheet of a job: A4, one page where it can be.
type Sheet struct {
	Job   *standin.Job
	Bench string // address of the bench page of the same job; empty: none
}

// The sizes of type that are tried, in points, and the pages that each may take.
var sizes = []struct {
	points float64
	pages  int
}{{9, 1}, {8.5, 1}, {8, 1}, {9, 2}, {8, 2}, {7, 2}, {7, 3}}

// PDF is the sheet as a document. What is to be printed is never cut: where even
// the smallest type does not bring it to two pages, it goes on.
func (s *Sheet) PDF() ([]byte, error) {
	model := s.Job.Answer.Machine.ModelKey.String()
	p := newPaper(pageWidth, pageHeight, "Job sheet: "+model)
	code := square(s.Bench, qrSide)
	var f *flow
	var all []placed
	var pages int
	for _, size := range sizes {
		f = s.compose(p, size.points, code)
		if all, pages = f.place(); pages <= size.pages {
			break
		}
	}
	foot := fmt.Sprintf("Job sheet · %s · board %s · catalogue version %d", model, boardName(s.Job.Board), s.Job.Answer.CatalogueVersion)
	f.print(all, pages, foot)
	return p.bytes()
}

// compose puts the sections together, in the order of the work.
func (s *Sheet) compose(p *paper, points float64, code drawing) *flow {
	f := &flow{paper: p, points: points}
	s.head(f, code)
	s.cautions(f)
	s.beforeFitting(f)
	s.plugs(f)
	s.configure(f)
	s.readback(f)
	s.afterRepair(f)
	s.fold(f)
	return f
}
