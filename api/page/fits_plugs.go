package page

import (
	"html/template"
	"strconv"
	"strings"

	"standin"
	"standin/api/draw"
)

// The room of a drawing on a page, in pixels: that of a small screen, on which its
// type is as large as the small print around it. Larger screens enlarge it.
var pageRoom = draw.Room{Width: 284, Size: 12}

// drawn is a drawing as a picture of a page.
func drawn(d *draw.Drawing) template.HTML { return template.HTML(d.SVG()) }

// drawnJoins is which plugs go where, in the builds in which that is the same.
type drawnJoins struct {
	draw.Joins
	drawing *draw.Drawing
	builds  []string
}

// joinsOf draws which plug goes where with a board, once for all builds that are
// alike in it.
func joinsOf(a *standin.Answer, c *standin.Candidate) []drawnJoins {
	var all []drawnJoins
next:
	for i := range c.Builds {
		j := draw.JoinsOf(a, c, i)
		if c.Builds[i].Verdict == standin.No || !j.Any() {
			continue
		}
		for k := range all {
			if all[k].Harness == j.Harness && all[k].SameAs(j) {
				all[k].builds = append(all[k].builds, c.Builds[i].Build)
				continue next
			}
		}
		all = append(all, drawnJoins{j, nil, []string{c.Builds[i].Build}})
	}
	for k := range all {
		all[k].drawing = all[k].Draw(pageRoom)
	}
	return all
}

// plugs are the harness, the adaptors and the board side by side, and on demand pin
// by pin. They are open at once where there is more to do than to put each plug back.
func (m *markup) plugs(a *standin.Answer, c *standin.Candidate) {
	all := joinsOf(a, c)
	if len(all) == 0 {
		return
	}
	m.html(`<details class="plugs-drawn"`)
	if len(c.AdaptorStock) > 0 {
		m.html(` open`)
	}
	m.html(`><summary data-stop>Plugs</summary>`)
	for k := range all {
		if len(all) > 1 {
			m.paragraph("small", standin.Sentence("if it is "+standin.BuildNames(all[k].builds)))
		}
		m.made(drawn(all[k].drawing))
		m.pins(&all[k].Joins)
	}
	m.html(`</details>`)
}

// pins are the connections with the circuit of each pin.
func (m *markup) pins(j *draw.Joins) {
	m.html(`<details><summary data-stop>Pin by pin</summary><table class="pins"><thead><tr><th scope="col">Plug</th><th scope="col">Goes on</th><th scope="col">Circuits by pin</th></tr></thead><tbody>`)
	for i := range j.Connections {
		c := &j.Connections[i]
		m.html(`<tr><th scope="row">`)
		m.text(strings.TrimSpace(c.From.Part + " " + c.From.Connector))
		m.html(`</th><td>`)
		m.text(strings.TrimSpace(c.To.Part + " " + c.To.Connector))
		if !c.Certain {
			m.html(` <b>? not certain</b>`)
		}
		m.html(`</td><td>`)
		circuits, known := c.Circuits.Get()
		if !known {
			m.html(`not recorded`)
		}
		for pin, circuit := range circuits {
			if pin > 0 {
				m.html(`, `)
			}
			m.text(strconv.Itoa(pin+1) + "\u00a0" + pinText(circuit))
		}
		m.html(`</td></tr>`)
	}
	m.html(`</tbody></table></details>`)
}

// pinText is the circuit of a pin, or that it has none.
func pinText(circuit string) string {
	if circuit == standin.Unused {
		return "unused"
	}
	return circuit
}
