package generate

import (
	"fmt"
	"strings"
)

// Layouts come in pairs: an even one has one wide plug, the odd one beside it has
// its circuits on three.
var (
	wideCircuits  = []string{"mains-l", "mains-n", "heater", "heater-n", "motor", "motor-n", "drain-pump", "valve", "door-lock", "door-n"}
	otherCircuits = []string{"ntc", "ntc-n", "level", "level-n", "turbidity", "fan", "lamp", "buzzer"}
)

func layoutName(i int) string { return fmt.Sprintf("layout-%03d", i+1) }

// layoutOf is the even layout that the boards of a family have, or the odd one
// beside it.
func (p *plan) layoutOf(family int) int { return 2 * (family % (p.layouts / 2)) }

func layouts(p *plan, row func(...string) bool) {
	for i := range p.layouts {
		d := p.draw(ofLayout, i/2)
		parts := [][]string{wideCircuits}
		if i%2 == 1 {
			parts = [][]string{wideCircuits[:6], wideCircuits[6:8], wideCircuits[8:]}
		}
		pitch := d.pick("2.5", "3.96", "5")
		for n := range d.IntN(3) {
			parts = append(parts, otherCircuits[3*n:3*n+2])
		}
		for n, circuits := range parts {
			recorded := strings.Join(circuits, " ")
			if i >= 2 && d.once(15) {
				recorded = ""
			}
			if !row(layoutName(i), fmt.Sprintf("CN%d", n+1), number(len(circuits)), pitch, fmt.Sprintf("key %c", 'a'+n), recorded) {
				return
			}
		}
	}
}

func adaptors(p *plan, row func(...string) bool) {
	for i := 0; i < p.layouts; i += 2 {
		takes, gives := i, i+1
		if i%4 == 0 {
			takes, gives = gives, takes
		}
		if !row(adaptorPart(i), "Loom between "+layoutName(i)+" and "+layoutName(i+1), layoutName(takes), layoutName(gives)) {
			return
		}
	}
}

func adaptorPart(layout int) string { return fmt.Sprintf("LM-%03d", layout/2+1) }

// Fixed boards come in chains of supersessions, three to a chain.
const chain = 3

func fixedPart(i, link int) string { return fmt.Sprintf("FX-%05d-%d", i+1, link+1) }

// A share of the models have a display beside the control; displays are fixed.
const (
	display      = "display"
	displayEvery = 6  // models, one of which has one
	displayLot   = 50 // models in a row that have the same
)

func (p *plan) displays() int { return (p.Models + displayLot - 1) / displayLot }

func displayPart(i int) string { return fmt.Sprintf("DP-%04d", i+1) }

// eachBoard goes through the boards of all families.
func (p *plan) eachBoard(do func(i int, f *family, b int) bool) {
	for i := range p.families {
		f := p.family(i)
		for b := range f.boards {
			if !do(i, f, b) {
				return
			}
		}
	}
}

func boards(p *plan, row func(...string) bool) {
	p.eachBoard(func(_ int, f *family, b int) bool { return row(f.boards[b].part, f.name, "", "Control board", "") })
	for i := range p.fixed * chain {
		if !row(fixedPart(i/chain, i%chain), "", "", "Fixed control", gtin(i)) {
			return
		}
	}
	for i := range p.displays() {
		if !row(displayPart(i), "", display, "Display", "") {
			return
		}
	}
}

// gtin is a number of 13 digits with its check digit (GS1 General Specifications 7.9).
func gtin(i int) string {
	digits := fmt.Sprintf("299%09d", i) // 200 to 299 are for use within a company
	sum := 0
	for at, r := range digits {
		sum += int(r-'0') * (1 + 2*(at%2))
	}
	return digits + number((10-sum%10)%10)
}

func revisions(p *plan, row func(...string) bool) {
	p.eachBoard(func(i int, f *family, b int) bool {
		d := p.draw(ofFamily, i)
		for _, r := range f.boards[b].revisions {
			from := 1994 + r.issue*2
			options := r.options
			if options == "" {
				options = d.mostly("none")
			}
			if !row(f.boards[b].part, r.label, number(r.issue), layoutName(r.layout), fmt.Sprintf("%d-01-01", from),
				d.mostly(fmt.Sprintf("%d-12-31", from+9)), options, d.mostly("207"), "253", d.pick("50", "50 60", ""), "", r.stop) {
				return false
			}
		}
		return true
	})
	for i := range p.fixed * chain {
		if !row(fixedPart(i/chain, i%chain), "A", "1", layoutName(2*(i/chain%(p.layouts/2))), "", "", "", "", "", "50", "", "") {
			return
		}
	}
	for i := range p.displays() {
		if !row(displayPart(i), "A", "1", layoutName(2*(i%(p.layouts/2))), "", "", "none", "207", "253", "50 60", "", "") {
			return
		}
	}
}

func markings(p *plan, row func(...string) bool) {
	p.eachBoard(func(i int, f *family, b int) bool {
		if (i+b)%3 != 0 {
			return true
		}
		marking := fmt.Sprintf("Z %04d/%d", i+1, b/2) // two boards of a family may share one
		return row(marking, f.boards[b].part, "", "on the bare board")
	})
}

func ratings(p *plan, row func(...string) bool) {
	p.eachBoard(func(_ int, f *family, b int) bool {
		for n, r := range f.boards[b].revisions {
			if !row(f.boards[b].part, r.label, "heater", "10") || !row(f.boards[b].part, r.label, "motor", []string{"2.5", ""}[n%2]) {
				return false
			}
		}
		return true
	})
}

func supersessions(p *plan, row func(...string) bool) {
	p.eachBoard(func(i int, f *family, b int) bool {
		if b == 0 {
			return true
		}
		return row(f.boards[b-1].part, f.boards[b].part, []string{"one-way", "two-way", ""}[(i+b)%3], fmt.Sprintf("%d-06-01", 2000+b), "")
	})
	for i := range p.fixed * chain {
		if i%chain > 0 && !row(fixedPart(i/chain, i%chain-1), fixedPart(i/chain, i%chain), "one-way", "", "") {
			return
		}
	}
}

func stock(p *plan, row func(...string) bool) {
	p.eachBoard(func(i int, f *family, b int) bool {
		d := p.draw(ofStock, i*16+b)
		for _, location := range []string{"front", "van 2", "warehouse"} {
			if d.once(2) {
				continue
			}
			revision := f.boards[b].revisions[0].label
			if d.once(4) {
				revision = ""
			}
			if !row(location, f.boards[b].part, revision, d.pick("new", "refurbished", "used"), number(d.IntN(6))) {
				return false
			}
		}
		return true
	})
	for i := range p.displays() {
		if i%3 != 2 && !row("warehouse", displayPart(i), "A", "new", number(i%4)) {
			return
		}
	}
	// Of some adaptors nothing is recorded, of some that there is none left.
	for i := 0; i < p.layouts; i += 4 {
		if !row("front", adaptorPart(i), "", "new", number(2*(i/4%3))) || i%8 == 4 && !row("warehouse", adaptorPart(i), "", "used", "3") {
			return
		}
	}
}
