package generate

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Models come in runs: a run has one family, one harness and the same cut-ins.
const (
	runLength = 8
	twinEvery = 25 // models, one of which has a twin
)

var (
	brands = []string{"Corvane", "Aldine", "Pellmark", "Ostrow", "Fenlask", "Quillen", "Marsk", "Dunholt", "Ravel & Co", "Tesk"}
	kinds  = []struct{ kind, letters string }{{"dishwasher", "DW"}, {"washer", "WM"}, {"dryer", "TD"}, {"oven", "OV"}}
)

// run is what the models of a run have in common.
type run struct {
	family  int
	fixed   int // the chain whose boards its models have instead; -1: none
	kind    int
	variant bool  // its models share one number and differ in variant
	cutIns  []int // the years in which builds begin
}

func (p *plan) run(i int) run {
	d := p.draw(ofRun, i)
	// The square makes families of very different size.
	r := run{family: int(float64(p.families) * math.Pow(d.Float64(), 2.2)), fixed: -1, kind: d.IntN(len(kinds)), variant: d.once(3)}
	if d.once(12) {
		r.fixed = d.IntN(p.fixed)
	}
	year := 1994 + d.IntN(12)
	for range []int{0, 1, 1, 1, 1, 1, 2, 2, 2, 3, 3, 4}[d.IntN(12)] {
		r.cutIns = append(r.cutIns, year)
		year += 1 + d.IntN(4)
	}
	return r
}

// modelKey is the brand, the number and the variant of a model.
func (p *plan) modelKey(i int, r run) []string {
	number := fmt.Sprintf("%s %d", kinds[r.kind].letters, 1000+i/runLength)
	if r.variant {
		return []string{brands[i/runLength%len(brands)], number, fmt.Sprintf("9%08d", i)}
	}
	return []string{brands[i/runLength%len(brands)], fmt.Sprintf("%s%c", number, 'A'+i%runLength), ""}
}

// eachModel goes through the models.
func (p *plan) eachModel(do func(i int, key []string, r run) bool) {
	var r run
	for i := range p.Models {
		if i%runLength == 0 {
			r = p.run(i / runLength)
		}
		if !do(i, p.modelKey(i, r), r) {
			return
		}
	}
}

// with is a row that begins with the key of a model.
func with(key []string, cells ...string) []string {
	return append(append(make([]string, 0, len(key)+len(cells)), key...), cells...)
}

func models(p *plan, row func(...string) bool) {
	p.eachModel(func(i int, key []string, r run) bool {
		d := p.draw(ofModel, i)
		from, to := "", ""
		if len(r.cutIns) > 0 {
			from = fmt.Sprintf("%d-01-01", r.cutIns[0])
			to = d.mostly(fmt.Sprintf("%d-12-31", r.cutIns[len(r.cutIns)-1]+5))
		}
		rule := d.pick("year-week", "letters", "day", "")
		return row(with(key, kinds[r.kind].kind, from, to, d.mostly(d.pick("230", "230", "220-240", "110-120/220-240")),
			d.mostly(d.pick("50", "50", "50/60")), d.pick("", "I", "I", "II"), rule)...)
	})
}

func twins(p *plan, row func(...string) bool) {
	p.eachModel(func(i int, key []string, _ run) bool {
		return i%twinEvery != 3 || row("Hearthwell", fmt.Sprintf("H %d", i), "", key[0], key[1], key[2])
	})
}

func buildName(n int) string { return fmt.Sprintf("b%d", n+1) }

// factoryBoard is the board that the n-th build of a model has: a revision of its family
// after the other, so that every cut-in makes a difference.
func (f *family) factoryBoard(n int) (part string, r revision) {
	var parts []string
	var revisions []revision
	for _, b := range f.boards {
		for _, r := range b.revisions {
			parts, revisions = append(parts, b.part), append(revisions, r)
		}
	}
	return parts[n%len(parts)], revisions[n%len(parts)]
}

// has reports whether a revision has all options that are needed.
func (r revision) has(needs string) bool {
	fitted := strings.Fields(r.options)
	for _, need := range strings.Fields(needs) {
		if need != "none" && !slices.Contains(fitted, need) {
			return false
		}
	}
	return true
}

// builds fit their factory boards: they have the harness that goes with it, and need
// no option that it lacks.
func builds(p *plan, row func(...string) bool) {
	p.eachModel(func(i int, key []string, r run) bool {
		f := p.family(r.family)
		d := p.draw(ofModel, i)
		labelled := true
		for n, year := range r.cutIns {
			part, board := f.factoryBoard(n)
			label, layout, needs := board.label, board.layout, d.pick("none", "", "steam", "steam turbidity")
			if !board.has(needs) {
				needs = "none"
			}
			if r.fixed >= 0 {
				part, label, layout, needs = fixedPart(r.fixed, n%chain), "", 2*(r.fixed%(p.layouts/2))+n%2, ""
			}
			runOut, serialFrom, serialTo := "", "", ""
			if n > 0 && d.once(3) {
				runOut = "90"
			}
			if d.once(20) {
				serialFrom, serialTo = number(100000*(n+1)), number(100000*(n+2)-1)
			}
			end := "" // the next build's beginning says
			if n == len(r.cutIns)-1 {
				end = d.mostly(fmt.Sprintf("%d-12-31", year+4))
			}
			if d.once(3) && labelled { // else two builds might look alike
				label = ""
			}
			labelled = label != ""
			if !row(with(key, "", buildName(n), fmt.Sprintf("%d-01-01", year), end, runOut, serialFrom, serialTo,
				part, label, d.mostly(layoutName(layout)), needs, sourceName(i%p.sources))...) {
				return false
			}
		}
		return i%displayEvery != 5 || row(with(key, display, "d1", "", "", "", "", "", displayPart(i/displayLot), "A",
			layoutName(2*(i/displayLot%(p.layouts/2))), "none", sourceName(i%p.sources))...)
	})
}

func loads(p *plan, row func(...string) bool) {
	p.eachModel(func(i int, key []string, r run) bool {
		d := p.draw(ofModel, i)
		if d.once(3) {
			return true
		}
		ohms := []string{"", ""}
		if d.once(5) {
			ohms = []string{"21", "30"}
		}
		if !row(with(key, "", "", "heater", d.pick("1800", "2000", "2500"), "", "heating", "", "", ohms[0], ohms[1], "")...) ||
			!row(with(key, "", "", "motor", d.pick("80", "300"), "", "motor", d.pick("", "", "1.2"), d.pick("", "0.6"), "", "", "")...) {
			return false
		}
		if i%displayEvery == 5 && !row(with(key, display, "d1", "lamp", "10", "", "other", "0.05", "", "", "", "")...) {
			return false
		}
		return len(r.cutIns) == 0 || !d.once(4) || row(with(key, "", buildName(0), "heater", "2100", "220", "heating", "", "", "", "", "")...)
	})
}

func presets(p *plan, row func(...string) bool) {
	p.eachModel(func(i int, key []string, r run) bool {
		if i%40 != 7 || r.fixed >= 0 {
			return true
		}
		return row(append([]string{p.family(r.family).boards[0].part}, with(key, "")...)...)
	})
}

// configurationsOf is how many a model has: they add up to all there are, and
// neighbours differ.
func (p *plan) configurationsOf(i int) int {
	upTo := func(i int) int { return int(int64(p.Configurations) * int64(i) / int64(p.Models)) }
	n := upTo(i+1) - upTo(i)
	pair := i &^ 1
	if pair+1 >= p.Models {
		return n
	}
	// What one of a pair has less the other has more.
	shift := p.draw(ofModel, pair).IntN(1 + min(upTo(pair+1)-upTo(pair), upTo(pair+2)-upTo(pair+1))/2)
	if i == pair {
		return n - shift
	}
	return n + shift
}

// configurations are for the older and for the newer issues of the family of the
// run and for the first build, then of the families after it.
func configurations(p *plan, row func(...string) bool) {
	p.eachModel(func(i int, key []string, r run) bool {
		d := p.draw(ofModel, i)
		each := 2
		if len(r.cutIns) > 0 {
			each = 3
		}
		for n := range p.configurationsOf(i) {
			f := p.family((r.family + n/each) % p.families)
			build, from, to := "", "", number(1+d.IntN(f.issues-1))
			switch n % each {
			case 1:
				from, to = number(f.issues), ""
			case 2:
				build, to = buildName(0), ""
			}
			code, pattern := "", ""
			if f.length > 0 {
				chosen := f.code(d.Uint64())
				code, pattern = f.codeText(chosen), f.pattern(chosen)
			}
			if d.once(50) {
				pattern = "" // not recorded
			}
			if !row(append([]string{f.name}, with(key, build, from, to, code, pattern, sourceName(i%p.sources))...)...) {
				return false
			}
		}
		return true
	})
}
