package page

import (
	"html/template"
	"slices"
	"strconv"

	"standin"
)

// loads are those to check before a board is fitted, as a list.
func loads(a *standin.Answer) template.HTML {
	if len(a.BeforeFitting) == 0 {
		return ""
	}
	var m markup
	m.html(`<ul class="loads">`)
	for i := range a.BeforeFitting {
		p := &a.BeforeFitting[i]
		m.html(`<li><span class="load"><b>`)
		m.text(p.Circuit)
		m.html(`</b>`)
		if len(p.Builds) < len(a.Builds) {
			m.small(standin.BuildNames(p.Builds))
		}
		m.html(`<strong>`)
		m.text(expected(p))
		m.html(`</strong></span><small>`)
		m.text(standin.Sentence(p.Text))
		m.html(`</small></li>`)
	}
	m.html("</ul>")
	return m.done()
}

// cautions are those of the answer, as a list.
func cautions(a *standin.Answer) template.HTML {
	var m markup
	m.html(`<ul class="cautions">`)
	for _, c := range a.Cautions {
		m.html("<li>")
		m.text(standin.Sentence(c))
		m.html("</li>")
	}
	m.html("</ul>")
	return m.done()
}

// limits are where the values to expect come from, each once.
func limits(a *standin.Answer) []string {
	var all []string
	for i := range a.BeforeFitting {
		if said := standin.Sentence(a.BeforeFitting[i].Source); said != "" && !slices.Contains(all, said) {
			all = append(all, said)
		}
	}
	return all
}

// expected is the value to expect on the meter, empty where none is known.
func expected(p *standin.Precheck) string {
	low, lowKnown := p.OhmsLow.Get()
	high, highKnown := p.OhmsHigh.Get()
	amps, ampsKnown := p.Amps.Get()
	switch {
	case lowKnown && highKnown:
		return hundredths(low) + " to " + hundredths(high) + " Ω"
	case lowKnown:
		return "at least " + hundredths(low) + " Ω"
	case ampsKnown:
		return hundredths(amps) + " A rated"
	}
	return ""
}

// hundredths is a measured value: no meter at a bench shows more.
func hundredths(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }
