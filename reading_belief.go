package standin

import (
	"math"
	"slices"
)

// What proof-reading assumes of a table before it has read it. No source says
// any of it; the benchmark shows how far it carries.
const (
	singleShare = 0.85  // of points that depend on one place; the others on two
	wrongEntry  = 0.001 // of entries of a cell that are not its true value, where misprints found were put right
	negligible  = 1e-7  // share of belief below which a set of places is ignored
	leastChance = 1e-6  // of any value: nothing is ever ruled out entirely
)

// placeSet is a set of places that a point may depend on. Each combination of
// symbols at them is a cell.
type placeSet struct {
	places []int   // from 0
	prior  float64 // log of the share of points that depend on it
	cells  int
	width  int32 // symbols in use at the second place, 1 where there is none
}

// placeSets returns the sets of one and of two places. The symbols in use at each
// place are given.
func placeSets(used [][]int32) []placeSet {
	var all []placeSet
	share := singleShare
	for size := 1; size <= min(mostPlaces, len(used)); size++ {
		sets := subsets(len(used), size)
		for _, set := range sets {
			s := placeSet{places: set, prior: math.Log(share / float64(len(sets))), width: 1}
			if size > 1 {
				s.width = int32(len(used[set[1]]))
			}
			s.cells = len(used[set[0]]) * int(s.width)
			all = append(all, s)
		}
		share = 1 - share
	}
	return all
}

// cell returns the number of the cell that a code falls into.
func (s *placeSet) cell(code []int32) int {
	c := code[s.places[0]]
	if len(s.places) > 1 {
		c = c*s.width + code[s.places[1]]
	}
	return int(c)
}

// belief is what is believed of one point: for each set of places the evidence
// that the point depends on it, and how many rows show each value in each of its
// cells. It is the posterior under a model in which every cell has one true
// value, all values being equally likely, and a few entries are wrong.
type belief struct {
	sets    []placeSet
	values  int
	wrong   float64     // log of the chance of one wrong entry
	odds    float64     // log of the odds of a right entry against it
	support []float64   // by set: log
	counts  [][]float64 // by set: cell × value
	chances [][]float64 // by set: cell × value
	cells   [][]float64 // by set: what each cell adds to the support
	likely  []int       // the sets that are not negligible
}

// newBelief returns the belief in a point with this many values, at least two,
// before any row is counted.
func newBelief(sets []placeSet, values int) belief {
	wrong := math.Log(wrongEntry / float64(values-1))
	b := belief{sets: sets, values: values, wrong: wrong, odds: math.Log(1-wrongEntry) - wrong}
	for k := range sets {
		n := sets[k].cells
		b.support = append(b.support, sets[k].prior)
		b.counts = append(b.counts, make([]float64, n*values))
		b.chances = append(b.chances, slices.Repeat([]float64{1 / float64(values)}, n*values))
		b.cells = append(b.cells, make([]float64, n))
	}
	return b
}

// count adds a row (by 1) or takes it out (by -1). updateLikely must be called
// before the belief is used again.
func (b *belief) count(code []int32, value int, by float64) {
	for k := range b.sets {
		cell := b.sets[k].cell(code)
		counts := b.cell(k, cell)
		counts[value] += by
		b.support[k] -= b.cells[k][cell]
		b.cells[k][cell] = b.cellSupport(counts)
		b.support[k] += b.cells[k][cell]
		b.appendChances(b.chances[k][:cell*b.values], counts) // overwrites those of the cell
	}
}

// updateLikely finds the sets that are not negligible.
func (b *belief) updateLikely() {
	b.likely = nil // not truncated: an otherRows made earlier keeps using the old list
	least := slices.Max(b.support) + math.Log(negligible)
	for k := range b.sets {
		if b.support[k] > least {
			b.likely = append(b.likely, k)
		}
	}
}

// cell is the counts of a set's cell.
func (b *belief) cell(set, cell int) []float64 {
	return b.counts[set][cell*b.values : (cell+1)*b.values]
}

// cellSupport returns the log of the chance of a cell's counts, summed over the
// values that may be its true one. The more entries must be wrong, the lower it
// is.
func (b *belief) cellSupport(counts []float64) float64 {
	total, most, sum := 0.0, 0.0, 0.0
	for _, n := range counts {
		total += n
		most = max(most, n)
	}
	for _, n := range counts {
		sum += math.Exp((n - most) * b.odds)
	}
	return total*b.wrong + most*b.odds + math.Log(sum/float64(len(counts)))
}

// appendChances appends, for each value, the chance that it is the true one of
// a cell with these counts.
func (b *belief) appendChances(chances, counts []float64) []float64 {
	most, sum, from := slices.Max(counts), 0.0, len(chances)
	for _, n := range counts {
		chance := math.Exp((n - most) * b.odds)
		chances = append(chances, chance)
		sum += chance
	}
	for i := range chances[from:] {
		chances[from+i] = max(leastChance, chances[from+i]/sum)
	}
	return chances
}

// otherRows is what is believed of a point with one row left out.
type otherRows struct {
	b     *belief
	sets  []int     // the likely sets of the belief when it was made
	share []float64 // by set
	own   []int     // by set: the row's cell
	rest  []float64 // by set × value: the chances in that cell without the row
}

// without returns what is believed of the point with a row left out.
func (b *belief) without(r *proofRow, point int) otherRows {
	n := len(b.likely)
	o := otherRows{b: b, sets: b.likely, share: make([]float64, n), own: make([]int, n), rest: make([]float64, 0, n*b.values)}
	for i, k := range b.likely {
		s := &b.sets[k]
		o.own[i] = s.cell(r.code)
		var rest [len(signAlphabet)]float64 // enough for any alphabet
		counts := rest[:copy(rest[:], b.cell(k, o.own[i]))]
		counts[r.shows[point]]--
		o.share[i] = b.support[k] + b.cellSupport(counts) - b.cells[k][o.own[i]]
		o.rest = b.appendChances(o.rest, counts)
	}
	most, sum := slices.Max(o.share), 0.0
	for i, support := range o.share {
		o.share[i] = math.Exp(support - most)
		sum += o.share[i]
	}
	for i := range o.share {
		o.share[i] /= sum
	}
	return o
}

// chance returns the chance that a code shows a value at the point, judging by
// the other rows.
func (o *otherRows) chance(code []int32, value int) float64 {
	sum := 0.0
	for i, k := range o.sets {
		if cell := o.b.sets[k].cell(code); cell == o.own[i] {
			sum += o.share[i] * o.rest[i*o.b.values+value]
		} else {
			sum += o.share[i] * o.b.chances[k][cell*o.b.values+value]
		}
	}
	return sum
}

// best is the set of places with the greatest share.
func (o *otherRows) best() *placeSet {
	at := slices.Index(o.share, slices.Max(o.share))
	return &o.b.sets[o.sets[at]]
}

// touches reports whether the point may depend on a place.
func (b *belief) touches(place int) bool {
	return slices.ContainsFunc(b.likely, func(k int) bool { return slices.Contains(b.sets[k].places, place) })
}
