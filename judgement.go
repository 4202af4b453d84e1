package standin

import (
	"cmp"
	"math"
	"slices"
)

// mostOdds is the log of the most that odds add up to, so that those of rows
// with very many points stay numbers.
const mostOdds = 200

// cause is one reason why a row is as it is printed: a wrong point of the
// pattern, a wrong symbol of the code, or neither: wrong altogether. Value is
// what would be right, by number.
type cause struct {
	point, place int // from 0; -1: not this
	value        int
	odds         float64 // log, against the row being right
}

// jumbled tells whether the row is wrong altogether.
func (c cause) jumbled() bool { return c.point < 0 && c.place < 0 }

// corrected is the row without its cause. One that is wrong altogether says
// nothing.
func (r *proofRow) corrected(c cause) proofRow {
	right := proofRow{code: slices.Clone(r.code), shows: slices.Clone(r.shows)}
	switch {
	case c.point >= 0:
		right.shows[c.point] = c.value
	case c.place >= 0:
		right.code[c.place] = int32(c.value)
	default:
		for i := range right.shows {
			right.shows[i] = silent
		}
	}
	return right
}

// judgement is what may have caused a row, likeliest first.
type judgement struct {
	causes  []cause
	odds    float64     // of all of them together
	others  []otherRows // by point; empty where the row says nothing
	chances []float64   // by point: of what it shows, by the other rows; 1 where it says nothing
}

// judge weighs every cause of a row against its being right, by the other rows.
func (p *proofreader) judge(r *proofRow) judgement {
	j := judgement{others: make([]otherRows, len(p.points)), chances: slices.Repeat([]float64{1}, len(p.points))}
	jumbled := math.Log(jumbledShare)
	for i := range p.points {
		if r.shows[i] != silent {
			j.others[i] = p.points[i].without(r, i)
			j.chances[i] = j.others[i].chance(r.code, r.shows[i])
			jumbled -= math.Log(j.chances[i] * float64(p.points[i].values))
		}
	}
	if !slices.ContainsFunc(j.chances, func(chance float64) bool { return chance < sure }) {
		return j
	}
	j.causes = append(j.causes, cause{-1, -1, 0, jumbled})
	p.wrongPoints(r, &j)
	for place := range p.used {
		p.wrongSymbols(r, &j, place)
	}
	for _, c := range j.causes {
		j.odds += math.Exp(min(c.odds, mostOdds))
	}
	slices.SortStableFunc(j.causes, func(a, b cause) int { return cmp.Compare(b.odds, a.odds) })
	return j
}

// wrongPoints weighs, for each point, that the row was meant to show another
// value there.
func (p *proofreader) wrongPoints(r *proofRow, j *judgement) {
	for i, shows := range r.shows {
		if shows == silent {
			continue
		}
		values := p.points[i].values
		share := misprintShare / 2 / float64(len(p.points)*(values-1))
		for value := range values {
			if value != shows {
				odds := math.Log(share * j.others[i].chance(r.code, value) / j.chances[i])
				j.causes = append(j.causes, cause{i, -1, value, odds})
			}
		}
	}
}

// wrongSymbols weighs, for each other symbol in use at a place, that the row
// was meant to have it.
func (p *proofreader) wrongSymbols(r *proofRow, j *judgement, place int) {
	used, own := len(p.used[place]), r.code[place]
	share := misprintShare / 2 / float64(len(p.used)*max(1, used-1)) / (p.uses[place][own] - 1 + rareSymbol)
	code := slices.Clone(r.code)
	for symbol := range used {
		if code[place] = int32(symbol); code[place] == own {
			continue
		}
		odds := math.Log(share * (p.uses[place][symbol] + rareSymbol))
		for i := range p.points {
			if r.shows[i] != silent && p.points[i].touches(place) {
				odds += math.Log(j.others[i].chance(code, r.shows[i]) / j.chances[i])
			}
		}
		j.causes = append(j.causes, cause{-1, place, symbol, odds})
	}
}
