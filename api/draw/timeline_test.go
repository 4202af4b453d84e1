package draw

import (
	"strings"
	"testing"
	"time"

	"standin"
)

func day(text string) standin.Date {
	at, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return standin.NewDate(at.Year(), at.Month(), at.Day())
}

// Builds lie one below the other, each as long as it was made, and what is ruled out is
// empty.
func TestTimeline(t *testing.T) {
	t.Parallel()
	first := standin.Build{Label: "b1", Made: standin.Days(day("2001-01-01"), day("2002-12-31")), RunOutDays: 60}
	second := standin.Build{Label: "b2", Made: standin.Span{From: standin.Known(day("2003-01-01"))}}
	timeline := Timeline{Builds: []standin.Build{first, second}, Possible: []standin.Build{second}}
	timeline.Made.Text, timeline.Made.Span = "2003-06", standin.Days(day("2003-06-01"), day("2003-06-30"))
	d := timeline.Draw(Room{Width: 300, Size: 10})
	if d == nil || len(d.Boxes) != 2 {
		t.Fatalf("drawn is %+v", d)
	}
	a, b := d.Boxes[0], d.Boxes[1]
	if a.Filled || !b.Filled || a.Y >= b.Y || a.X >= b.X || a.X+a.Width > b.X+0.5 || b.X+b.Width > 300 {
		t.Errorf("the bars are %+v and %+v", a, b)
	}
	heavy := 0
	for _, l := range d.Lines {
		if l.Stroke == Heavy {
			heavy++
			if x := l.Points[0].X; x < b.X || x > b.X+b.Width {
				t.Errorf("the evidence is at %g, outside of the build from %g on", x, b.X)
			}
		}
	}
	if heavy != 2 {
		t.Errorf("the evidence has %d lines", heavy)
	}
	want := "Builds: b1, made 2001-01-01 to 2002-12-31, run-out 60 days, ruled out, b2, made from 2003-01-01, this machine, made 2003-06-01 to 2003-06-30."
	if d.About != want {
		t.Errorf("said is %q, want %q", d.About, want)
	}
	var years []string
	for _, text := range d.Texts {
		if text.Anchor == Middle {
			years = append(years, text.Text)
		}
	}
	if got := strings.Join(years, " "); got != "2001 2002 2003" {
		t.Errorf("the years are %q", got)
	}
}

func TestTimelineOfNothing(t *testing.T) {
	t.Parallel()
	undated := []standin.Build{{Label: "b1"}, {Label: "b2"}}
	dated := []standin.Build{{Label: "b1", Made: standin.Days(day("2001-01-01"), day("2002-12-31"))}}
	for name, builds := range map[string][]standin.Build{"undated": undated, "one": dated, "none": nil} {
		if d := (Timeline{Builds: builds}).Draw(Room{Width: 300, Size: 10}); d != nil {
			t.Errorf("%s: drawn is %+v", name, d)
		}
	}
}

// A point has its mark in the column of the place that it shows.
func TestCodeMap(t *testing.T) {
	t.Parallel()
	d := CodeMap{Places: 3, Points: []standin.PointMap{
		{Point: "Wash", Places: []int{2}}, {Point: "Dry", Places: []int{1, 3}, LeaveOut: 1}, {Point: "End", Constant: '1'}, {Point: "Eco"},
	}}.Draw(Room{Width: 300, Size: 10})
	if d == nil || len(d.Boxes) != 3 {
		t.Fatalf("drawn is %+v", d)
	}
	one, two, three := d.Boxes[1], d.Boxes[0], d.Boxes[2]
	if !two.Filled || one.Filled || three.Filled || one.X >= two.X || two.X >= three.X || two.Y >= one.Y || one.Y != three.Y {
		t.Errorf("the marks are %+v", d.Boxes)
	}
	want := "Points: 1 Wash shows place 2, 2 Dry shows places 1 + 3, with exceptions, 3 End always shows the same, 4 Eco is not known."
	if d.About != want {
		t.Errorf("said is %q, want %q", d.About, want)
	}
	if (CodeMap{}).Draw(Room{Width: 300, Size: 10}) != nil {
		t.Error("there is a drawing of nothing")
	}
}
