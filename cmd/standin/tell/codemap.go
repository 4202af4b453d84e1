package tell

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"standin"
)

// tellCodeMap tells what each read-back point shows of the code: those of one
// place in a table of what it shows for each symbol, those of two in a table of
// their own.
func tellCodeMap(p *page, f *standin.PreparedFamily) {
	points := f.CodeMap().Points
	if len(points) == 0 || f.CodeLength == 0 {
		return
	}
	p.blank()
	p.line(0, "Code map: what each point shows, learnt from "+count(len(f.Configurations), "configuration", "configurations"))
	var single, double []*standin.PointMap
	for i := range points {
		switch m := &points[i]; len(m.Places) {
		case 0:
		case 1:
			single = append(single, m)
		default:
			double = append(double, m)
		}
	}
	tellSingle(p, f.Selector, single)
	for _, m := range double {
		tellDouble(p, f.Selector, m)
	}
	for i := range points {
		if m := &points[i]; len(m.Places) == 0 {
			p.item(bodyIndent, m.Point, m.Text())
		}
	}
	if len(single)+len(double) > 0 {
		p.line(bodyIndent, "("+f.ShownForms()+", ? as many rows show one as another, . no row)")
	}
}

// grid is a table of characters with words before and behind each row.
type grid struct {
	heads []string // of the columns
	rows  []gridRow
}

type gridRow struct {
	before string
	cells  []string
	behind string
}

// fits reports whether the grid takes no more than a line's width.
func (g *grid) fits() bool { return bodyIndent+width(g.line(g.widest(), g.rowWithWidest())) <= Width }

func (g *grid) rowWithWidest() gridRow {
	return slices.MaxFunc(g.rows, func(a, b gridRow) int { return width(a.behind) - width(b.behind) })
}

// widest are the columns that the words before a row take.
func (g *grid) widest() int {
	widest := 0
	for _, r := range g.rows {
		widest = max(widest, width(clean(r.before)))
	}
	return widest
}

func (g *grid) line(before int, r gridRow) string {
	var b strings.Builder
	r.before = clean(r.before)
	b.WriteString(r.before + strings.Repeat(" ", before-width(r.before)))
	for i, cell := range r.cells {
		cell = clean(cell)
		b.WriteString(" " + strings.Repeat(" ", width(clean(g.heads[i]))-width(cell)) + cell)
	}
	return strings.TrimRight(b.String()+"  "+clean(r.behind), " ")
}

func (g *grid) tell(p *page) {
	before := g.widest()
	p.line(bodyIndent, bound(g.line(before, gridRow{cells: g.heads})))
	for _, r := range g.rows {
		p.line(bodyIndent, bound(g.line(before, r)))
	}
}

// tellSingle writes the points of one place. Where the selector is too long for a
// table each is described in words.
func tellSingle(p *page, selector []string, points []*standin.PointMap) {
	if len(points) == 0 {
		return
	}
	g := grid{heads: selector}
	for _, m := range points {
		row := gridRow{before: m.Point, cells: make([]string, len(selector)), behind: m.Text()}
		shows := map[string]string{}
		for _, c := range m.Cells() {
			shows[c.Symbols[0]] = string(c.Shows)
		}
		for i, symbol := range selector {
			row.cells[i] = orNone(shows[symbol], ".")
		}
		g.rows = append(g.rows, row)
	}
	if g.fits() {
		g.tell(p)
		return
	}
	for _, m := range points {
		p.item(bodyIndent, m.Point, m.Text()+": "+inWords(m))
	}
}

// tellDouble tells a point of two places: the first place down, the second
// across.
func tellDouble(p *page, selector []string, m *standin.PointMap) {
	shows := map[[2]string]string{}
	used := [2]map[string]bool{{}, {}}
	for _, c := range m.Cells() {
		shows[[2]string{c.Symbols[0], c.Symbols[1]}] = string(c.Shows)
		used[0][c.Symbols[0]], used[1][c.Symbols[1]] = true, true
	}
	of := func(place int) []string {
		return slices.DeleteFunc(slices.Clone(selector), func(s string) bool { return !used[place][s] })
	}
	g := grid{heads: of(1)}
	for _, down := range of(0) {
		row := gridRow{before: down}
		for _, across := range g.heads {
			row.cells = append(row.cells, orNone(shows[[2]string{down, across}], "."))
		}
		g.rows = append(g.rows, row)
	}
	p.item(bodyIndent, m.Point, fmt.Sprintf("%s; place %d down, place %d across", m.Text(), m.Places[0], m.Places[1]))
	if g.fits() {
		g.tell(p)
		return
	}
	p.line(bodyIndent, inWords(m))
}

// shownBy is what a point shows for some symbols: lit before unlit, then what else
// it may show, at last what is undecided.
func shownBy(m *standin.PointMap) []byte {
	rank := func(shows byte) int { return strings.IndexByte("10f23456789", shows) & 0xff } // others after these
	var all []byte
	for _, c := range m.Cells() {
		if !slices.Contains(all, c.Shows) {
			all = append(all, c.Shows)
		}
	}
	slices.SortFunc(all, func(x, y byte) int {
		return cmp.Or(cmp.Compare(undecided(x), undecided(y)), cmp.Compare(rank(x), rank(y)), cmp.Compare(x, y))
	})
	return all
}

func undecided(shows byte) int {
	if shows == standin.NotRead {
		return 1
	}
	return 0
}

// inWords says for which symbols a point shows what.
func inWords(m *standin.PointMap) string {
	var said []string
	for _, shows := range shownBy(m) {
		var symbols []string
		for _, c := range m.Cells() {
			if c.Shows == shows {
				symbols = append(symbols, strings.Join(c.Symbols, "-"))
			}
		}
		if len(symbols) > 0 {
			word := "undecided"
			if shows != standin.NotRead {
				word = m.Shown(shows)
			}
			said = append(said, word+" for "+strings.Join(symbols, " "))
		}
	}
	return strings.Join(said, "; ")
}
