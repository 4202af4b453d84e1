package standin

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// More of what proof-reading assumes.
const (
	misprintShare = 0.05    // of rows with one misprint, half in the code, half in the pattern
	exchangeShare = 0.11    // of misprints, that two neighbours are exchanged (Verhoeff 1969, of keying errors that are one or the other)
	jumbledShare  = 0.002   // of rows that are wrong altogether
	rareSymbol    = 0.5     // rows' worth of belief that a symbol no other row has at a place is used there
	leastOdds     = 1.0 / 3 // of a misprint that is put right, before rivals are looked at
	mostPutRight  = 5       // at most one row in this many is put right
	fewRows       = 4       // in a cell: where they contradict, each of them may be the wrong one
	sure          = 0.9     // chance of all that a row shows, from which it is not looked at further
)

// proofreader learns what each point of a family depends on, and which rows are
// misprinted, one after the other: the likeliest misprint is put right, then
// what was learnt is looked at again. A row is explained by one cause across
// all its points.
type proofreader struct {
	rows   []proofRow
	used   [][]int32   // symbols in use at each place, as places on the dial
	uses   [][]float64 // rows that use them
	points []belief
}

// proofRow is a row of the table as numbers.
type proofRow struct {
	code  []int32 // indices into used
	shows []int   // silent where it says nothing
}

func newProofreader(t *Table) *proofreader {
	p := &proofreader{used: make([][]int32, t.places), uses: make([][]float64, t.places)}
	for _, row := range t.rows {
		r := proofRow{code: make([]int32, t.places), shows: make([]int, len(row.pattern))}
		for place, symbol := range row.code {
			r.code[place] = p.use(place, symbol)
		}
		for i := range r.shows {
			r.shows[i] = strings.IndexByte(t.Family.PointShows(i), row.pattern[i])
		}
		p.rows = append(p.rows, r)
	}
	sets := placeSets(p.used)
	for point := range t.Family.Readback {
		p.points = append(p.points, newBelief(sets, p.prepare(point)))
	}
	for i := range p.rows {
		p.count(&p.rows[i], 1)
	}
	p.update()
	return p
}

// use counts a symbol at a place and returns its index there.
func (p *proofreader) use(place int, symbol int32) int32 {
	at := slices.Index(p.used[place], symbol)
	if at < 0 {
		at = len(p.used[place])
		p.used[place] = append(p.used[place], symbol)
		p.uses[place] = append(p.uses[place], 0)
	}
	p.uses[place][at]++
	return int32(at)
}

// prepare returns how many values a point may have. A point at which too few
// rows say something is silenced.
func (p *proofreader) prepare(point int) int {
	values, say := 2, 0
	for i := range p.rows {
		values = max(values, p.rows[i].shows[point]+1)
		if p.rows[i].shows[point] != silent {
			say++
		}
	}
	if say < leastRows {
		for i := range p.rows {
			p.rows[i].shows[point] = silent
		}
	}
	return values
}

// count adds a row to what is believed of each point (by 1), or takes it out (by
// -1).
func (p *proofreader) count(r *proofRow, by float64) {
	for point := range p.points {
		if r.shows[point] != silent {
			p.points[point].count(r.code, r.shows[point], by)
		}
	}
}

// update recomputes what is likely after rows were counted.
func (p *proofreader) update() {
	for point := range p.points {
		p.points[point].updateLikely()
	}
}

// replace exchanges the row at an index for another.
func (p *proofreader) replace(row int, by proofRow) {
	p.count(&p.rows[row], -1)
	p.rows[row] = by
	p.count(&p.rows[row], 1)
	p.update()
}

// suspicion is a row that may be misprinted.
type suspicion struct {
	row     int
	printed proofRow
	why     causes
	belief  float64
}

// suspicions returns the rows that may be misprinted, with the belief in each.
func (p *proofreader) suspicions() []suspicion {
	suspected := p.putRight()
	for i := len(suspected) - 1; i >= 0; i-- {
		suspected = append(suspected, p.confirm(&suspected[i], suspected)...)
	}
	return suspected
}

// putRight puts the likeliest misprints right, one after the other (of large
// tables a few at once), until none is left.
func (p *proofreader) putRight() []suspicion {
	var done []suspicion
	for len(done) < len(p.rows)/mostPutRight {
		var next []suspicion
		for row := range p.rows {
			already := slices.ContainsFunc(done, func(s suspicion) bool { return s.row == row })
			if why := p.explain(&p.rows[row]); why.odds >= leastOdds && !already {
				next = append(next, suspicion{row: row, printed: p.rows[row], why: why})
			}
		}
		if len(next) == 0 {
			break
		}
		slices.SortStableFunc(next, func(a, b suspicion) int { return cmp.Compare(b.why.odds, a.why.odds) })
		for _, s := range next[:min(len(next), 1+len(p.rows)/100)] {
			p.replace(s.row, s.printed.corrected(s.why.list[0]))
			done = append(done, s)
		}
	}
	return done
}

// confirm looks again at a row that was put right: as it is printed, with all
// others put right, against the other rows that may be wrong in its place. It
// returns those of them that are suspected as well.
func (p *proofreader) confirm(s *suspicion, suspected []suspicion) []suspicion {
	right := p.rows[s.row]
	p.replace(s.row, s.printed)
	s.why = p.explain(&s.printed)
	all := 1 + s.why.odds
	var rivals []suspicion
	for _, row := range p.rivals(s) {
		if slices.ContainsFunc(suspected, func(other suspicion) bool { return other.row == row }) {
			continue
		}
		why := p.explain(&p.rows[row])
		rivals = append(rivals, suspicion{row: row, printed: p.rows[row], why: why})
		all += why.odds
	}
	s.belief = s.why.odds / all
	if s.belief >= reportMisprint {
		p.replace(s.row, right)
	}
	for i := range rivals {
		rivals[i].belief = rivals[i].why.odds / all
	}
	return slices.DeleteFunc(rivals, func(r suspicion) bool { return r.belief < reportMisprint })
}

// rivals returns the indices of the rows that share a cell of few rows with a
// suspected row, at a point where that contradicts the others: any of them may
// be the wrong one instead.
func (p *proofreader) rivals(s *suspicion) []int {
	var rivals []int
	for row := range p.rows {
		if row != s.row && p.isRival(s, &p.rows[row]) {
			rivals = append(rivals, row)
		}
	}
	return rivals
}

func (p *proofreader) isRival(s *suspicion, r *proofRow) bool {
	for point, chance := range s.why.chances {
		if chance >= 0.5 || r.shows[point] == silent {
			continue
		}
		b := &p.points[point]
		for _, k := range b.likely {
			set := &b.sets[k]
			cell := set.cell(s.printed.code)
			rows := 0.0
			for _, n := range b.cell(k, cell) {
				rows += n
			}
			if rows <= fewRows && set.cell(r.code) == cell {
				return true
			}
		}
	}
	return false
}

// mostOdds bounds the log of the odds before they are added up, so that those of
// rows with very many points do not overflow.
const mostOdds = 200

// cause is one reason why a row is as it is printed: a wrong point of the
// pattern, a wrong symbol of the code, two neighbours in the code exchanged, or
// none of these: wrong altogether. Value is what would be right, by number; of
// neighbours, next is what would be right at the place after.
type cause struct {
	point, place int // from 0; -1: not this
	value        int
	exchanged    bool // the point, or the symbol at place, and the one after it
	next         int
	odds         float64 // log, against the row being right
}

// jumbled reports whether the row is wrong altogether.
func (c cause) jumbled() bool { return c.point < 0 && c.place < 0 }

// corrected returns the row with the cause of its misprint removed. A row that
// is wrong altogether is silenced.
func (r *proofRow) corrected(c cause) proofRow {
	right := proofRow{code: slices.Clone(r.code), shows: slices.Clone(r.shows)}
	switch {
	case c.point >= 0:
		right.shows[c.point] = c.value
		if c.exchanged {
			right.shows[c.point+1] = c.next
		}
	case c.place >= 0:
		right.code[c.place] = int32(c.value)
		if c.exchanged {
			right.code[c.place+1] = int32(c.next)
		}
	default:
		for i := range right.shows {
			right.shows[i] = silent
		}
	}
	return right
}

// causes are what may have made a row as it is printed, likeliest first.
type causes struct {
	list    []cause
	odds    float64     // of all of them together
	others  []otherRows // by point; empty where the row says nothing
	chances []float64   // by point: of what it shows, by the other rows; 1 where it says nothing
}

// explain compares every cause of a misprint in a row with the row being right,
// by the other rows.
func (p *proofreader) explain(r *proofRow) causes {
	found := causes{others: make([]otherRows, len(p.points)), chances: slices.Repeat([]float64{1}, len(p.points))}
	jumbled := math.Log(jumbledShare)
	for i := range p.points {
		if r.shows[i] != silent {
			found.others[i] = p.points[i].without(r, i)
			found.chances[i] = found.others[i].chance(r.code, r.shows[i])
			jumbled -= math.Log(found.chances[i] * float64(p.points[i].values))
		}
	}
	if !slices.ContainsFunc(found.chances, func(chance float64) bool { return chance < sure }) {
		return found
	}
	found.list = append(found.list, cause{point: -1, place: -1, odds: jumbled})
	p.wrongPoints(r, &found)
	for place := range p.used {
		p.wrongSymbols(r, &found, place)
		p.exchangedNeighbours(r, &found, place)
	}
	for _, c := range found.list {
		found.odds += math.Exp(min(c.odds, mostOdds))
	}
	slices.SortStableFunc(found.list, func(a, b cause) int { return cmp.Compare(b.odds, a.odds) })
	return found
}

// wrongPoints adds as causes, for each point, that the row was meant to show
// another value there.
func (p *proofreader) wrongPoints(r *proofRow, found *causes) {
	for i, shows := range r.shows {
		if shows == silent {
			continue
		}
		values := p.points[i].values
		share := misprintShare / 2 * (1 - exchangeShare) / float64(len(p.points)*(values-1))
		for value := range values {
			if value != shows {
				odds := math.Log(share * found.others[i].chance(r.code, value) / found.chances[i])
				found.list = append(found.list, cause{point: i, place: -1, value: value, odds: odds})
			}
		}
		p.exchangedPoints(r, found, i)
	}
}

// exchangedPoints adds as a cause that what a point and the one after it show is
// exchanged.
func (p *proofreader) exchangedPoints(r *proofRow, found *causes, point int) {
	if point+1 == len(p.points) || r.shows[point+1] == silent || r.shows[point+1] == r.shows[point] {
		return
	}
	value, next := r.shows[point+1], r.shows[point]
	if value >= p.points[point].values || next >= p.points[point+1].values {
		return
	}
	odds := math.Log(misprintShare / 2 * exchangeShare / float64(len(p.points)-1))
	odds += math.Log(found.others[point].chance(r.code, value) / found.chances[point])
	odds += math.Log(found.others[point+1].chance(r.code, next) / found.chances[point+1])
	found.list = append(found.list, cause{point: point, place: -1, value: value, exchanged: true, next: next, odds: odds})
}

// wrongSymbols adds as causes, for each other symbol in use at a place, that the
// row was meant to have it.
func (p *proofreader) wrongSymbols(r *proofRow, found *causes, place int) {
	used, own := len(p.used[place]), r.code[place]
	share := misprintShare / 2 * (1 - exchangeShare) / float64(len(p.used)*max(1, used-1)) / (p.uses[place][own] - 1 + rareSymbol)
	code := slices.Clone(r.code)
	for symbol := range used {
		if code[place] = int32(symbol); code[place] == own {
			continue
		}
		odds := math.Log(share * (p.uses[place][symbol] + rareSymbol))
		for i := range p.points {
			if r.shows[i] != silent && p.points[i].touches(place) {
				odds += math.Log(found.others[i].chance(code, r.shows[i]) / found.chances[i])
			}
		}
		found.list = append(found.list, cause{point: -1, place: place, value: symbol, odds: odds})
	}
}

// exchangedNeighbours adds as a cause that the symbols at a place and the one after it
// are exchanged, where each is in use at the place of the other.
func (p *proofreader) exchangedNeighbours(r *proofRow, found *causes, place int) {
	if place+1 == len(p.used) {
		return
	}
	first, second := p.used[place][r.code[place]], p.used[place+1][r.code[place+1]]
	value, next := slices.Index(p.used[place], second), slices.Index(p.used[place+1], first)
	if first == second || value < 0 || next < 0 {
		return
	}
	code := slices.Clone(r.code)
	code[place], code[place+1] = int32(value), int32(next)
	odds := math.Log(misprintShare / 2 * exchangeShare / float64(len(p.used)-1))
	for at := place; at <= place+1; at++ {
		odds += math.Log((p.uses[at][code[at]] + rareSymbol) / (p.uses[at][r.code[at]] - 1 + rareSymbol))
	}
	for i := range p.points {
		if r.shows[i] != silent && (p.points[i].touches(place) || p.points[i].touches(place+1)) {
			odds += math.Log(found.others[i].chance(code, r.shows[i]) / found.chances[i])
		}
	}
	found.list = append(found.list, cause{point: -1, place: place, value: value, exchanged: true, next: next, odds: odds})
}
