package page

import (
	"slices"
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

// joinsAtOnce is how many plugs are put on at one step: as many as are seen at once
// on a phone.
const joinsAtOnce = 4

// plugStages are what is pulled and put back, with the adaptors between.
func plugStages(j *standin.Job) []stage {
	pull := stage{Kind: stagePlugs, Name: "Pull the plugs, fit the board", Warnings: []string{warnDead, "Photograph or label every plug before it is pulled."}}
	for _, pair := range j.Swappable {
		pull.Warnings = append(pull.Warnings, swapWarning(pair))
	}
	if len(j.Swappable) > 0 {
		pull.About = "swappable plugs"
	}
	for _, adaptor := range j.Adaptors {
		pull.Points = append(pull.Points, "Fit adaptor "+adaptor+" between harness and board.")
	}
	stages := []stage{pull}
	for _, h := range j.Harnesses {
		stages = append(stages, joinStages(j, harnessOf(j, h))...)
	}
	return stages
}

// joinStages are the steps at which the plugs of a harness are put on.
func joinStages(j *standin.Job, h harness) []stage {
	step := stage{Kind: stagePlugs, Name: "Put the plugs back", Warnings: []string{warnDead}, About: h.Builds}
	if len(h.Joins) == 0 {
		var stages []stage
		for plugs := range slices.Chunk(h.Plugs, joinsAtOnce) {
			step.Name = "Put back " + standin.AndList(markings(plugs))
			step.Plugs = []harness{{Builds: h.Builds, Plugs: plugs}}
			stages = append(stages, step)
		}
		if stages == nil {
			step.Plugs = []harness{h}
			stages = append(stages, step)
		}
		return stages
	}
	var stages []stage
	for joins := range slices.Chunk(h.Joins, joinsAtOnce) {
		part := harness{Builds: h.Builds, Joins: joins}
		var names []string
		for _, one := range joins {
			names = append(names, one.From)
			if one.Unsure {
				part.Unsure = h.Unsure
			}
		}
		step.Warnings = append([]string{warnDead}, swapWarnings(j, joins)...)
		step.Name, step.Plugs = "Put on "+standin.AndList(names), []harness{part}
		stages = append(stages, step)
	}
	return stages
}

// swapWarnings are the cautions about the headers that some plugs go on.
func swapWarnings(j *standin.Job, joins []join) []string {
	var warnings []string
	for _, pair := range j.Swappable {
		if slices.ContainsFunc(joins, func(one join) bool { return one.AtEnd && slices.Contains(pair[:], one.To) }) {
			warnings = append(warnings, swapWarning(pair))
		}
	}
	return warnings
}

func markings(plugs []plug) []string {
	var names []string
	for _, p := range plugs {
		names = append(names, p.Marking)
	}
	return names
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
