package draw_test

import (
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"standin"
	"standin/api/draw"
)

// phone is the room of a page on a small screen.
var phone = draw.Room{Width: 280, Size: 12}

func connector(marking string, pitch float64, key string, circuits ...string) standin.Connector {
	return standin.Connector{Marking: marking, Ways: standin.Known(len(circuits)), PitchMM: standin.Known(pitch),
		Key: standin.Known(key), Circuits: standin.Known(circuits)}
}

// split is an invented harness with a wide plug, and a board that has it split in
// three, with a loom between.
func split() draw.Joins {
	wide := strings.Fields("heater heater-n pump pump-n drain drain-n inlet inlet-n dispenser dispenser-n")
	end := func(part, connector string) standin.ConnectionEnd {
		return standin.ConnectionEnd{Part: part, Connector: connector}
	}
	return draw.Joins{
		Harness: &standin.Layout{Connectors: []standin.Connector{
			connector("CN1", 5, "A", "live", ".", "neutral"), connector("CN2", 5, "B", wide...), connector("CN3", 2.5, "S", "ntc", "ntc-r", "level", "door", "common")}},
		Board: &standin.Layout{Connectors: []standin.Connector{
			connector("CN1", 5, "A", "live", ".", "neutral"), connector("CN2", 5, "B", wide[:6]...), connector("CN3", 2.5, "S", "ntc", "ntc-r", "level", "door", "common"),
			connector("CN4", 5, "D", wide[6:8]...), connector("CN5", 5, "D", wide[8:]...), {Marking: "CN9"}}},
		Adaptors: map[string]*standin.Adaptor{"LM-101": {PartNumber: "LM-101",
			Takes: &standin.Layout{Connectors: []standin.Connector{connector("P1", 5, "B", wide...)}},
			Gives: &standin.Layout{Connectors: []standin.Connector{connector("J1", 5, "B", wide[:6]...), connector("J2", 5, "D", wide[6:8]...), connector("J3", 5, "D", wide[8:]...)}}}},
		Connections: []standin.Connection{
			{From: end("", "CN1"), To: end("", "CN1"), Certain: true}, {From: end("", "CN2"), To: end("LM-101", "P1"), Certain: true},
			{From: end("", "CN3"), To: end("", "CN3")}, {From: end("LM-101", "J1"), To: end("", "CN2"), Certain: true},
			{From: end("LM-101", "J2"), To: end("", "CN4"), Certain: true}, {From: end("LM-101", "J3"), To: end("", "CN5"), Certain: true}},
		Swappable: [][2]string{{"CN4", "CN5"}},
	}
}

// picture writes a drawing into the folder that STANDIN_PICTURES names, for people to
// look at.
func picture(t *testing.T, name string, d *draw.Drawing) {
	t.Helper()
	if dir := os.Getenv("STANDIN_PICTURES"); dir != "" {
		text := strings.Replace(d.SVG(), "<svg ", `<svg xmlns="http://www.w3.org/2000/svg" font-family="DejaVu Sans Mono" `, 1)
		text = strings.Replace(text, "</desc>", `</desc><style>path{fill:none;stroke:#000}.d-heavy{stroke-width:2}.d-dashed{stroke-dasharray:3 2}.d-fill{fill:#000}.d-bold{font-weight:700}</style>`, 1)
		if err := os.WriteFile(filepath.Join(dir, name+".svg"), []byte(text), 0o600); err != nil {
			t.Error(err)
		}
	}
}

// faults are what is wrong with any drawing: marks outside of it, texts on each
// other, and a picture that is no XML.
func faults(d *draw.Drawing) []string {
	var all []string
	outside := func(x, y float64) bool { return x < -0.1 || y < -0.1 || x > d.Width+0.1 || y > d.Height+0.1 }
	for _, b := range d.Boxes {
		if outside(b.X, b.Y) || outside(b.X+b.Width, b.Y+b.Height) {
			all = append(all, "a box stands outside")
		}
	}
	for _, l := range d.Lines {
		for _, p := range l.Points {
			if outside(p.X, p.Y) {
				all = append(all, "a line leads outside")
			}
		}
	}
	for i, t := range d.Texts {
		left, right := span(t)
		if outside(left, t.Y-0.75*t.Size) || outside(right, t.Y) {
			all = append(all, t.Text+" stands outside")
		}
		for _, other := range d.Texts[:i] {
			l, r := span(other)
			if left < r-0.1 && l < right-0.1 && max(t.Y, other.Y)-min(t.Y, other.Y) < 0.8*t.Size {
				all = append(all, t.Text+" stands on "+other.Text)
			}
		}
	}
	for decoder := xml.NewDecoder(strings.NewReader(d.SVG())); ; {
		if _, err := decoder.Token(); err == io.EOF {
			return all
		} else if err != nil {
			return append(all, err.Error())
		}
	}
}

// span is from where to where a text reaches.
func span(t draw.Text) (left, right float64) {
	width := float64(len([]rune(t.Text))) * 0.6 * t.Size
	if t.Room > 0 {
		width = min(width, t.Room)
	}
	left = t.X - width*float64(t.Anchor)/2
	return left, left + width
}

func TestJoins(t *testing.T) {
	t.Parallel()
	for name, room := range map[string]draw.Room{"phone": phone, "sheet": {Width: 190, Size: 3.6, Ticks: true}, "half a sheet": {Width: 93, Size: 3.6, Ticks: true}} {
		d := split().Draw(room)
		picture(t, "joins "+name, d)
		for _, fault := range faults(d) {
			t.Errorf("%s: %s", name, fault)
		}
		ticks := 0
		for _, text := range d.Texts {
			if text.Text == "CN4 ⇄CN5" || text.Text == "CN5 ⇄CN4" {
				ticks++
			}
		}
		if ticks != 2 {
			t.Errorf("%s: %d headers are marked that may be swapped, want 2", name, ticks)
		}
	}
}

// dishwasher is an invented family whose points lie in two rows.
func dishwasher() *standin.Family {
	return &standin.Family{Name: "Curlew", Readback: strings.Fields("Prewash Wash Rinse Dry End Salt Rinse-aid Half Eco Delay"),
		Panel: [][]string{strings.Fields("Salt Rinse-aid Half Eco Delay"), strings.Fields("Prewash Wash Rinse Dry End")}}
}

func TestPanel(t *testing.T) {
	t.Parallel()
	digits := &standin.Family{Readback: []string{"D1", "Colour", "Lock"}, Alphabet: []string{"0123456789", "0rg", "10f"}, Panel: [][]string{{"D1", "Colour"}, {"Lock"}}}
	for name, panel := range map[string]draw.Panel{
		"expected": {Family: dishwasher(), Pattern: "10f-011010"}, "to tick": {Family: dishwasher(), Boxes: true}, "as they lie": {Family: dishwasher()},
		"digits": {Family: digits, Pattern: "7g1"}, "digits to tick": {Family: digits, Boxes: true},
	} {
		for where, room := range map[string]draw.Room{"phone": phone, "sheet": {Width: 93, Size: 3.6}} {
			d := panel.Draw(room)
			picture(t, "panel "+name+" "+where, d)
			for _, fault := range faults(d) {
				t.Errorf("%s, %s: %s", name, where, fault)
			}
		}
	}
	// Where they are on the panel is not the order in which they are read.
	at := map[string]draw.Text{}
	for _, text := range (draw.Panel{Family: dishwasher()}).Draw(phone).Texts {
		at[text.Text] = text
	}
	if at["6 Salt"].Y >= at["1 Prewash"].Y || at["6 Salt"].X != at["1 Prewash"].X || at["Rinse-aid"].X <= at["6 Salt"].X {
		t.Errorf("the points lie at %v", at)
	}
}
