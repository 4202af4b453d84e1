package page

import (
	"strings"

	"standin"
)

// harness is the plugs that a machine may have.
type harness struct {
	Builds string // for which; empty: for all
	None   string // why there are no plugs to show; empty: there are
	Plugs  []plug
	Joins  []join // which plug goes where
	Unsure string // what to do about those that are not certain; empty: all are
}

// join is one plug and where it goes. What may be taken for another is marked.
type join struct {
	From, To        string
	Ways, Circuits  string
	TakenFor        string // plugs or headers that it may be taken for; empty: none
	Unsure          bool
	FromLoom, AtEnd bool // the plug is an adaptor's; the header is the board's
}

// plug is one plug of a harness, and the others it may be taken for.
type plug struct {
	Marking, About, Circuits, TakenFor string
}

// plugStage is what is pulled and put back, with the adaptors between.
func plugStage(j *standin.Job) stage {
	s := stage{Kind: stagePlugs, Name: "Plugs and adaptors", Warnings: []string{warnDead, "Photograph or label every plug before it is pulled."},
		Do: "Pull the plugs, fit the board, put the plugs back."}
	for _, pair := range j.Swappable {
		s.Warnings = append(s.Warnings, swapWarning(pair))
	}
	if len(j.Swappable) > 0 {
		s.About = "swappable plugs"
	}
	for _, adaptor := range j.Adaptors {
		s.Points = append(s.Points, "Fit adaptor "+adaptor+" between harness and board.")
	}
	for _, h := range j.Harnesses {
		s.Plugs = append(s.Plugs, harnessOf(j, h))
	}
	return s
}

// swapWarning is the caution about two headers, and what a swap does.
func swapWarning(headers [2]string) string {
	return standin.SwappableCaution(headers) + "; one wrong connection can destroy the board."
}

func harnessOf(j *standin.Job, h standin.Harness) harness {
	var out harness
	if forBuilds(j, h.Builds) != "" {
		out.Builds = "If it is " + standin.BuildNames(h.Builds)
	}
	if h.Layout == nil || len(h.Layout.Connectors) == 0 {
		out.None = "The harness is not recorded: label every plug before it is pulled."
		return out
	}
	if len(h.Connections) > 0 {
		out.addJoins(j, h)
		return out
	}
	for i := range h.Layout.Connectors {
		c := &h.Layout.Connectors[i]
		out.Plugs = append(out.Plugs, plug{
			Marking: c.Marking, About: plugAbout(c), Circuits: strings.Join(c.Circuits.V, " "), TakenFor: standin.AndList(h.Layout.Lookalikes(i)),
		})
	}
	return out
}

// addJoins says which plug goes where, in the order in which they are put on.
func (out *harness) addJoins(j *standin.Job, h standin.Harness) {
	for i := range h.Connections {
		c := &h.Connections[i]
		one := join{
			From: c.From.Connector, To: c.To.Connector, Circuits: strings.Join(c.Circuits.V, " "), Unsure: !c.Certain,
			TakenFor: standin.AndList(j.TakenFor(h, c)), FromLoom: c.From.Part != "", AtEnd: c.To.Part == "",
		}
		if c.From.Part != "" {
			one.From = c.From.Part + " " + one.From
		}
		if c.To.Part != "" {
			one.To = c.To.Part + " " + one.To
		}
		if n, ok := c.Ways.Get(); ok {
			one.Ways = count(n, "way", "ways")
		}
		if one.Unsure {
			out.Unsure = standin.UnsureConnection
		}
		out.Joins = append(out.Joins, one)
	}
}

// plugAbout is the ways, the pitch and the key of a plug, as far as recorded.
func plugAbout(c *standin.Connector) string {
	var said []string
	if n, ok := c.Ways.Get(); ok {
		said = append(said, count(n, "way", "ways"))
	}
	if pitch, ok := c.PitchMM.Get(); ok {
		said = append(said, standin.Figure(pitch)+" mm")
	}
	if key, ok := c.Key.Get(); ok {
		said = append(said, "key "+key)
	}
	return strings.Join(said, ", ")
}
