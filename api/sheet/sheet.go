package sheet

import (
	"fmt"
	"net/netip"
	"net/url"

	"standin"
	"standin/api/locale"
)

// Sheet is the job sheet of a job: A4, one page where it can be.
type Sheet struct {
	Job   *standin.Job
	Bench string // address of the bench page of the same job; empty, or on this machine alone: no code leads there

	Language locale.Language // in which it is printed
}

// attempts are how a sheet is composed, until the pages suffice: as one page where it
// can be, else at the size of type that is read best.
var attempts = []struct {
	points  float64 // of the running text
	columns bool    // the work stands in two columns
	pages   int
}{{10, true, 1}, {9, true, 1}, {8.5, true, 1}, {10, false, 2}, {9, false, 2}, {8, false, 2}, {8, false, 3}}

// PDF is the sheet as a document. What is to be printed is never cut: where even
// the smallest type does not bring it to two pages, it goes on.
func (s *Sheet) PDF() ([]byte, error) {
	model := s.Job.Answer.Machine.ModelKey.String()
	p := newPaper(pageWidth, pageHeight, "Job sheet: "+model, s.Language)
	code := square(forPhones(s.Bench), qrSide)
	var f *flow
	var all []placed
	var pages int
	for _, attempt := range attempts {
		f = s.compose(p, attempt.points, attempt.columns, code)
		if all, pages = f.place(); pages <= attempt.pages {
			break
		}
	}
	foot := fmt.Sprintf("Job sheet · %s · board %s · catalogue version %d", model, boardName(s.Job.Board), s.Job.Answer.CatalogueVersion)
	f.print(all, pages, foot)
	return p.bytes()
}

// compose puts the sections together, in the order of the work.
func (s *Sheet) compose(p *paper, points float64, columns bool, code drawing) *flow {
	f := &flow{paper: p, x: margin, room: inside, points: points}
	f.head = s.Job.Answer.Machine.ModelKey.String() + " · board " + boardName(s.Job.Board) + " · job ____________"
	s.head(f, code)
	s.cautions(f)
	left, right := f, f
	if columns {
		left, right = f.columns()
	}
	s.beforeFitting(left)
	s.plugs(left)
	s.configure(right)
	s.readback(right)
	if columns {
		f.inColumns(left, right)
	}
	s.afterRepair(f)
	s.fold(f)
	return f
}

// forPhones is an address that a phone may reach; empty where it is one of the
// machine's own.
func forPhones(address string) string {
	u, err := url.Parse(address)
	if err != nil || u.Hostname() == "localhost" {
		return ""
	}
	if ip, err := netip.ParseAddr(u.Hostname()); err == nil && (ip.IsLoopback() || ip.IsUnspecified()) {
		return ""
	}
	return address
}
