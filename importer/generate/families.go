package generate

import (
	"fmt"
	"strings"
)

// family is one family: how it is configured, and which boards it has.
type family struct {
	name     string
	selector []string
	length   int
	inUse    int // symbols of the selector that codes are made of, at each place
	readback []string
	points   []point
	boards   []board
	issues   int // the highest
}

// point is a read-back point: it shows one bit of the symbol at a place, some of
// them turned over by a bit of a place before it, or says nothing at all.
type point struct {
	place, bit   int
	also         int // another place; -1: none
	lit          byte
	saysNothing  bool
	turnedAround bool
}

type board struct {
	part      string
	revisions []revision
}

type revision struct {
	label   string
	issue   int
	layout  int
	options string
	stop    string
}

var (
	dial        = strings.Fields("A B C D E F G H K L M P")
	optionNames = []string{"hot-valve", "steam", "turbidity"}
)

const bitsASymbol = 3 // symbols in use are told apart by so many points

// family draws the family with a number. The first have the most models, see
// run; their codes are longer.
func (p *plan) family(i int) *family {
	if p.drawn[i] == nil {
		p.drawn[i] = p.drawFamily(i)
	}
	return p.drawn[i]
}

func (p *plan) drawFamily(i int) *family {
	d := p.draw(ofFamily, i)
	f := &family{name: fmt.Sprintf("%s %d", d.pick("Korrel", "Tamsin", "Ulvik", "Brask", "Dovane"), i+1), selector: dial, inUse: 5 + d.IntN(4)}
	if f.length = 3 + d.IntN(2); i < p.families/10+1 {
		f.length = 5
	}
	if i%20 == 13 {
		f.length = 0
	}
	f.drawPoints(d)
	issue := 0
	for b := range 1 + d.IntN(3) + min(3, p.Models/max(1, p.families)/100) {
		board := board{part: fmt.Sprintf("FB-%04d-%d", i+1, b+1)}
		for r := range 1 + d.IntN(3) {
			issue++
			board.revisions = append(board.revisions, revision{label: string(rune('A' + r)), issue: issue,
				layout: p.layoutOf(i) ^ d.IntN(2), options: strings.Join(optionNames[:d.IntN(len(optionNames))], " ")})
		}
		f.boards = append(f.boards, board)
	}
	f.complete(p, i, issue)
	return f
}

// complete sees to it that a family has at least two issues, the last with every
// option and not to be stopped, so that every configuration has a taker.
func (f *family) complete(p *plan, i, issue int) {
	last := &f.boards[len(f.boards)-1]
	for ; issue < 2; issue++ {
		last.revisions = append(last.revisions, revision{label: "Z", issue: issue + 1, layout: p.layoutOf(i)})
	}
	f.issues = issue
	last.revisions[len(last.revisions)-1].options = strings.Join(optionNames, " ")
	if first := &f.boards[0].revisions[0]; i%9 == 4 && first.issue+2 < f.issues {
		first.stop = "recalled: solder of the heater relay"
	}
}

func (f *family) drawPoints(d draw) {
	for place := range f.length {
		for bit := range bitsASymbol {
			also := -1
			if place > 0 && d.once(7) {
				also = d.IntN(place)
			}
			f.points = append(f.points, point{place: place, bit: bit, also: also, lit: "111f"[d.IntN(4)], turnedAround: d.once(2)})
		}
	}
	if f.length > 0 && d.once(3) {
		f.points = append(f.points, point{saysNothing: true})
	}
	d.Shuffle(len(f.points), func(a, b int) { f.points[a], f.points[b] = f.points[b], f.points[a] })
	for i := range f.points {
		f.readback = append(f.readback, fmt.Sprintf("L%d", i+1))
	}
}

// code is the code with a number, as places on the dial.
func (f *family) code(n uint64) []int {
	code := make([]int, f.length)
	for place := range code {
		code[place] = int(n % uint64(f.inUse))
		n /= uint64(f.inUse)
	}
	return code
}

func (f *family) codeText(code []int) string {
	symbols := make([]string, len(code))
	for i, at := range code {
		symbols[i] = f.selector[at]
	}
	return strings.Join(symbols, " ")
}

// pattern is what a code shows. No two codes show the same.
func (f *family) pattern(code []int) string {
	shown := make([]byte, len(f.points))
	for i, p := range f.points {
		if p.saysNothing {
			shown[i] = '-'
			continue
		}
		on := code[p.place]>>p.bit&1 == 1
		if p.also >= 0 && code[p.also]&1 == 1 {
			on = !on
		}
		if shown[i] = '0'; on != p.turnedAround {
			shown[i] = p.lit
		}
	}
	return string(shown)
}

// method is how it is configured; a family without a code has its chip moved over.
func (f *family) method() string {
	if f.length == 0 {
		return "chip"
	}
	return ""
}

// panel is the read-back points in two rows, of every other family.
func (f *family) panel(i int) string {
	if i%2 == 0 || len(f.readback) < 2 {
		return ""
	}
	half := len(f.readback) / 2
	return strings.Join(f.readback[:half], " ") + " / " + strings.Join(f.readback[half:], " ")
}

func procedureName(i int) string { return fmt.Sprintf("procedure-%03d", i+1) }

func procedures(p *plan, row func(...string) bool) {
	for i := range p.families {
		name := procedureName(i)
		steps := [][]string{{name, "enter", "1", "hold start and the dial's button", "5", "all lit"}}
		for place := range p.family(i).length {
			steps = append(steps, []string{name, "symbol", number(place + 1), "turn the dial to the symbol and press", "", "one flash"})
		}
		steps = append(steps, []string{name, "finish", "1", "press start", "2.5", "two flashes"},
			[]string{name, "readback", "1", "turn the dial through its places", "", ""})
		for _, step := range steps {
			if !row(step...) {
				return
			}
		}
	}
}

func families(p *plan, row func(...string) bool) {
	for i := range p.families {
		f := p.family(i)
		selector := ""
		if f.length > 0 {
			selector = strings.Join(f.selector, " ")
		}
		if !row(f.name, "Control "+f.name, f.method(), []string{"yes", "no", ""}[i%3], selector, number(f.length), strings.Join(f.readback, " "),
			"", f.panel(i), procedureName(i), "") {
			return
		}
	}
}
