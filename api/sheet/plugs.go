package sheet

import (
	"strings"

	"standin"
	"standin/api/draw"
)

// plugs are what is pulled, labelled and put back, and the adaptors between.
func (s *Sheet) plugs(f *flow) {
	f.heading("Plugs and adaptors")
	for _, part := range s.Job.Adaptors {
		f.row([]float64{6, f.room - 6}, cell{tick: true}, cell{text: "Fit adaptor " + part + " between harness and board.", style: bold})
	}
	for _, h := range s.Job.Harnesses {
		s.harness(f, h)
	}
}

func (s *Sheet) harness(f *flow, h standin.Harness) {
	builds := ofBuilds(s.Job.Answer, h.Builds)
	if h.Layout == nil || len(h.Layout.Connectors) == 0 {
		f.lines("The harness"+builds+" is not recorded: label every plug before it is pulled.", bold, f.points)
		return
	}
	if builds != "" {
		f.lines("Harness "+h.Layout.Name+builds, bold, f.points)
	}
	if len(h.Connections) > 0 {
		s.connections(f, h)
		return
	}
	for i := range h.Layout.Connectors {
		c := &h.Layout.Connectors[i]
		said := numberOf(c.Ways) + " ways, " + shape(c) + ": " + strings.Join(c.Circuits.Or([]string{"circuits not recorded"}), " ")
		if others := h.Layout.Lookalikes(i); len(others) > 0 {
			said = "⇄ " + strings.Join(others, ", ") + ". " + said
		}
		f.row([]float64{6, f.room - 6}, cell{tick: true}, cell{lead: c.Marking, text: said})
	}
}

// connections draw which plug goes where, with a box to tick beside each. What may be
// taken for another is told apart by its circuits.
func (s *Sheet) connections(f *flow, h standin.Harness) {
	joins := draw.JoinsOfJob(s.Job, h)
	f.drawing(joins.Draw(draw.Room{Width: f.room, Size: caption * point, Ticks: true}))
	unsure := false
	for i := range h.Connections {
		c := &h.Connections[i]
		said := strings.Join(c.Circuits.Or([]string{"circuits not recorded"}), " ")
		style := regular
		if others := s.Job.TakenFor(h, c); len(others) > 0 {
			said, style = "⇄ may be taken for "+standin.AndList(others)+": "+said, bold
		}
		if !c.Certain { // also in words: a bad copy loses a dash
			said, style, unsure = "? not certain. "+said, bold, true
		}
		f.row([]float64{f.room}, cell{lead: connectorName("", c.From), text: said, style: style})
	}
	if unsure {
		f.note(standin.UnsureConnection)
	}
}

// connectorName names a connector: of an adaptor by its part number, else as one
// of the harness or the board.
func connectorName(own string, end standin.ConnectionEnd) string {
	if end.Part != "" {
		return "loom " + end.Part + " " + end.Connector
	}
	return own + end.Connector
}

func numberOf(n standin.Maybe[int]) string {
	if v, ok := n.Get(); ok {
		return standin.Figure(float64(v))
	}
	return "?"
}

// shape is the pitch and the key of a connector, as far as recorded.
func shape(c *standin.Connector) string {
	var said []string
	if pitch, ok := c.PitchMM.Get(); ok {
		said = append(said, standin.Figure(pitch)+" mm")
	}
	if key, ok := c.Key.Get(); ok {
		said = append(said, "key "+key)
	}
	if len(said) == 0 {
		return "not recorded"
	}
	return strings.Join(said, ", ")
}
