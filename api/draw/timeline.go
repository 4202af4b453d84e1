package draw

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"standin"
)

// Timeline is the builds of a model in order of time: from cut-in to cut-in, the
// run-out behind each, and where the evidence of when a machine was made lies.
type Timeline struct {
	Builds   []standin.Build // in order of time
	Possible []standin.Build // of them, those that the evidence leaves
	Made     standin.Made    // the evidence; zero: none
}

// mostYears is how many years are named along the time.
const mostYears = 8

// Draw is the builds below each other, a bar each: filled where the build is still
// possible, an outline where it is not, dashed behind it for the run-out, open where no
// day is recorded. Nil where there is no time to draw: with fewer than two builds, or
// no day of any.
func (t Timeline) Draw(room Room) *Drawing {
	from, to, ok := t.extent()
	if !ok {
		return nil
	}
	d := &Drawing{Width: room.Width, Title: "Builds in order of time", About: t.said()}
	left := 0.0
	for i := range t.Builds {
		left = max(left, wide(t.name(i), room.Size))
	}
	left = min(left, room.Width/3) + 0.6*room.Size
	at := func(day standin.Date) float64 {
		return left + (room.Width-left-0.6*room.Size)*float64(day-from)/float64(max(1, to-from))
	}
	row := 1.7 * room.Size
	bottom := row * float64(len(t.Builds))
	t.evidence(d, at, bottom, room.Size)
	for i := range t.Builds {
		t.bar(d, i, at, row*float64(i), from, to, left, room)
	}
	d.line(Thin, Point{left, bottom}, Point{room.Width - 0.6*room.Size, bottom})
	d.Height = t.years(d, at, from, to, bottom, room)
	return d
}

// extent is from when to when there is something to draw, with some time around it.
func (t *Timeline) extent() (from, to standin.Date, ok bool) {
	var days []standin.Date
	for i := range t.Builds {
		b := &t.Builds[i]
		if b.Made.From.Known {
			days = append(days, b.Made.From.V)
		}
		if b.Made.To.Known {
			days = append(days, b.Made.To.V+standin.Date(b.RunOutDays))
		}
	}
	if len(t.Builds) < 2 || len(days) == 0 {
		return 0, 0, false
	}
	if t.Made.Text != "" {
		for _, day := range []standin.Maybe[standin.Date]{t.Made.Span.From, t.Made.Span.To} {
			if day.Known {
				days = append(days, day.V)
			}
		}
	}
	around := max(180, (slices.Max(days)-slices.Min(days))/12)
	return slices.Min(days) - around, slices.Max(days) + around, true
}

func (t *Timeline) name(i int) string {
	b := &t.Builds[i]
	if b.Position != "" {
		return b.Label + " " + b.Position
	}
	return b.Label
}

func (t *Timeline) possible(b *standin.Build) bool {
	return slices.ContainsFunc(t.Possible, func(p standin.Build) bool { return p.Label == b.Label && p.Position == b.Position })
}

// bar draws one build.
func (t *Timeline) bar(d *Drawing, i int, at func(standin.Date) float64, y float64, from, to standin.Date, left float64, room Room) {
	b := &t.Builds[i]
	size := room.Size
	d.text(Text{X: 0, Text: t.name(i), Size: size, Room: left - 0.6*size, Bold: t.possible(b)}, y)
	begin, end := at(from), at(to)
	if b.Made.From.Known {
		begin = at(b.Made.From.V)
	}
	if b.Made.To.Known {
		end = at(b.Made.To.V)
	}
	top, height := y+0.25*size, size
	stroke := Thin
	if !b.Made.From.Known && !b.Made.To.Known {
		stroke = Dashed
	}
	d.box(Box{X: begin, Y: top, Width: max(0.3*size, end-begin), Height: height, Stroke: stroke, Filled: t.possible(b) && stroke == Thin})
	middle := top + height/2
	if !b.Made.From.Known && stroke == Thin { // it may have begun earlier
		d.shape(Point{begin, top}, Point{begin - 0.6*size, middle}, Point{begin, top + height})
	}
	if !b.Made.To.Known && stroke == Thin {
		d.shape(Point{end, top}, Point{end + 0.6*size, middle}, Point{end, top + height})
	}
	if b.RunOutDays > 0 && b.Made.To.Known {
		d.line(Dashed, Point{end, middle}, Point{at(b.Made.To.V + standin.Date(b.RunOutDays)), middle})
		d.line(Thin, Point{at(b.Made.To.V + standin.Date(b.RunOutDays)), top}, Point{at(b.Made.To.V + standin.Date(b.RunOutDays)), top + height})
	}
}

// evidence draws when the machine was made, through all builds.
func (t *Timeline) evidence(d *Drawing, at func(standin.Date) float64, bottom, size float64) {
	span := t.Made.Span
	if t.Made.Text == "" || !span.From.Known || !span.To.Known {
		return
	}
	for _, x := range []float64{at(span.From.V), at(span.To.V + 1)} {
		d.line(Heavy, Point{x, 0}, Point{x, bottom + 0.5*size})
	}
}

// years names the years along the time, and returns where that ends.
func (t *Timeline) years(d *Drawing, at func(standin.Date) float64, from, to standin.Date, bottom float64, room Room) float64 {
	first, last := from.Time().Year()+1, to.Time().Year()
	step := (last-first)/mostYears + 1
	end := bottom
	for year := first; year <= last; year += step {
		x := at(standin.NewDate(year, time.January, 1))
		d.line(Thin, Point{x, bottom}, Point{x, bottom + 0.35*room.Size})
		end = d.text(Text{X: x, Text: strconv.Itoa(year), Size: room.Size, Room: 3 * room.Size, Anchor: Middle}, bottom+0.4*room.Size)
	}
	return end + 0.2*room.Size
}

// said names the builds, when each was made, and the evidence: as a list, whose parts
// can be said in another language one by one.
func (t *Timeline) said() string {
	var said []string
	for i := range t.Builds {
		b := &t.Builds[i]
		said = append(said, t.name(i), "made "+b.Made.String())
		if b.RunOutDays > 0 {
			said = append(said, "run-out "+strconv.Itoa(b.RunOutDays)+" days")
		}
		if !t.possible(b) {
			said = append(said, "ruled out")
		}
	}
	if t.Made.Text != "" {
		said = append(said, "this machine", "made "+t.Made.Span.String())
	}
	return "Builds: " + strings.Join(said, ", ") + "."
}
