package page

import (
	"cmp"
	"html/template"
	"slices"

	"standin"
)

// best is the block on top of the answer: the board to take, to be read from a
// metre away.
func (p *Pages) best(a *standin.Answer, c *standin.Candidate, todo *plan) template.HTML {
	v := verdictOf(c.Verdict)
	if c.Verdict == standin.Fits && len(a.Builds) > 1 {
		v.Word += " whichever build it is"
	}
	var m markup
	m.b.Grow(ticketBytes)
	m.html(`<section class="ticket best edge-`)
	m.text(v.Class)
	m.html(`" aria-labelledby="best"><div class="top"><h2 id="best">`)
	m.link("number", boardLink(c.PartNumber, a.Machine.Location), c.PartNumber)
	m.small(revisionText(c.Revision, c.Issue))
	m.html(`</h2>`)
	m.verdict(v)
	m.html(`</div>`)
	p.body(&m, a, c, todo)
	m.plugs(a, c)
	m.html(`</section>`)
	return m.done()
}

// others are the boards after the first, a line each: those on a shelf, and those
// of which there is none. Revisions of a part stand together, at the place of the
// best of them.
type others struct {
	Shelved []template.HTML
	Bare    []template.HTML
}

// othersOf makes the lines. Where there is none of the first either, all are lines
// alike: then it is not the shelf that decides.
func (p *Pages) othersOf(a *standin.Answer, standing int, first *plan) (o others) {
	rest := slices.Clone(a.Candidates[1:standing])
	place := map[string]int{a.Candidates[0].PartNumber: -1}
	for i := range rest {
		if _, ok := place[rest[i].PartNumber]; !ok {
			place[rest[i].PartNumber] = i
		}
	}
	slices.SortStableFunc(rest, func(x, y standin.Candidate) int { return cmp.Compare(place[x.PartNumber], place[y.PartNumber]) })
	collapse := shelved(&a.Candidates[0])
	before := [2]string{a.Candidates[0].PartNumber} // the parts that stand before
	for i := range rest {
		c := &rest[i]
		list, at := &o.Shelved, 0
		if collapse && !shelved(c) {
			list, at = &o.Bare, 1
		}
		*list = append(*list, p.line(a, c, first, before[at] == c.PartNumber))
		before[at] = c.PartNumber
	}
	return o
}

// shelved reports whether a free piece of a board is anywhere.
func shelved(c *standin.Candidate) bool {
	return slices.ContainsFunc(c.Stock, func(l standin.StockLine) bool { return l.Free > 0 })
}

// line is one of the other boards: a line, and once it is opened what the block on
// top says of the first.
func (p *Pages) line(a *standin.Answer, c *standin.Candidate, first *plan, again bool) template.HTML {
	v := verdictOf(c.Verdict)
	if c.Verdict == standin.Depends {
		v.Word = "depends" // a line has no room for on what
	}
	todo := setUp(a, c)
	var m markup
	m.b.Grow(ticketBytes)
	m.html(`<li class="ticket`)
	if again {
		m.html(` again`)
	}
	m.html(`"><details><summary data-stop><span class="line"><svg class="`)
	m.text(v.Class)
	m.html(`" aria-hidden="true" focusable="false"><use href="#v-`)
	m.text(v.Class)
	m.html(`"/></svg><span class="part"><span class="number">`)
	m.text(c.PartNumber)
	m.html(`</span> <small>`)
	m.text(revisionText(c.Revision, standin.Maybe[int]{}))
	m.html(`</small></span>`)
	m.shelf(c, a.Machine.Location)
	m.html(`<span class="tags">`)
	m.tags(c, todo, first)
	m.html(`</span><span class="word `)
	m.text(v.Class)
	m.html(`">`)
	m.text(v.Word)
	m.html(`</span></span></summary><div class="body">`)
	p.body(&m, a, c, todo)
	m.html(`<p class="small">`)
	m.link("", boardLink(c.PartNumber, a.Machine.Location), "All about "+c.PartNumber)
	m.html(`</p></div></details></li>`)
	return m.done()
}

// shelf is where a board is to be had, in a line.
func (m *markup) shelf(c *standin.Candidate, location string) {
	here, elsewhere, _ := shelves(c.Stock, c.Revision, location)
	if location != "" && here == "" {
		m.html(`<span class="shelf far">`)
	} else {
		m.html(`<span class="shelf">`)
	}
	m.text(cmp.Or(here, elsewhere, "none"))
	m.html(`</span>`)
}

// tags are what a board needs beyond being taken: adaptors, and a code that is not
// that of the first.
func (m *markup) tags(c *standin.Candidate, todo, first *plan) {
	for i := range c.AdaptorStock {
		s := &c.AdaptorStock[i]
		m.html(`<span class="tag">+ `)
		m.text(s.PartNumber)
		if s.Recorded && !slices.ContainsFunc(s.Stock, func(l standin.StockLine) bool { return l.Free > 0 }) {
			m.html(` <b>none</b>`)
		}
		m.html(`</span>`)
	}
	for _, d := range todo.settings {
		if slices.ContainsFunc(first.settings, func(f detail) bool { return f.Word == d.Word && f.What == d.What }) {
			continue
		}
		if d.Word != enter {
			m.html(`<span class="tag">`)
			m.text(d.Short)
			m.html(`</span>`)
			continue
		}
		m.html(`<span class="tag differs"><span class="unseen">another code: </span><span aria-hidden="true">≠</span> `)
		m.made(d.What)
		m.html(`</span>`)
	}
}
