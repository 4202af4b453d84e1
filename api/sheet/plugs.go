package sheet

import (
	"strings"

	"standin"
)

// plugs are what is pulled, labelled and put back, and the adaptors between.
func (s *Sheet) plugs(f *flow) {
	f.heading("Plugs and adaptors")
	for _, part := range s.Job.Adaptors {
		f.row([]float64{6, inside - 6}, cell{tick: true}, cell{text: "Fit adaptor " + part + " between harness and board.", style: bold})
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
	widths := []float64{6, 24, 12, 22, 42, inside - 6 - 24 - 12 - 22 - 42}
	f.heads(widths, "", "plug", "ways", "pitch, key", "may be taken for", "circuits by pin")
	for i := range h.Layout.Connectors {
		c := &h.Layout.Connectors[i]
		alike := ""
		if others := h.Layout.Lookalikes(i); len(others) > 0 {
			alike = "! " + strings.Join(others, ", ")
		}
		f.row(widths, cell{tick: true}, cell{text: c.Marking, style: bold}, cell{text: numberOf(c.Ways)},
			cell{text: shape(c)}, cell{text: alike, style: bold}, cell{text: strings.Join(c.Circuits.Or([]string{"not recorded"}), " ")})
	}
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
