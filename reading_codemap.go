package standin

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// What a dependency of a read-back point needs to count as known.
const (
	leastRows     = 8  // that say something at the point
	sharedOfThree = 2  // of every three of those, how many must share their symbols with another
	leaveOutOneIn = 20 // at most one row in 20 is left out, but one always may be
	mostPlaces    = 2  // of the code that a point may depend on
)

// noSymbol stands where the symbol at a place of a code is not known.
const noSymbol = -1

// Prediction is what the code map says a code will show, one character per
// read-back point, '?' where the map does not know. It is never a fact.
type Prediction string

// CodeMap says which place of the code each read-back point shows, learnt from
// the recorded configurations of a family.
type CodeMap struct {
	Points []PointMap // in the order of the family's read-back

	table *Table
}

// CodeMap learns the code map: for each read-back point the smallest set of
// places that determines it, a functional dependency with its g3 error. Those
// known are looked for in this order, and the first is taken: exact with one
// place, approximate with one, exact with two, approximate with two; an exact
// pair found first would hide a misprint in a single place.
func (t *Table) CodeMap() *CodeMap {
	m := &CodeMap{table: t, Points: make([]PointMap, len(t.Family.Readback))}
	columns := t.relation()
	singles := groupings(columns, t.places, 1)
	pairs := groupings(columns, t.places, 2)
	for i := range m.Points {
		column := t.places + i
		best, known := bestDependency(columns, singles, column)
		if !known {
			best, known = bestDependency(columns, pairs, column)
		}
		m.Points[i] = t.pointMap(i, best, known)
	}
	return m
}

// relation returns the table as a relation: one column per place, then one per
// point.
func (t *Table) relation() *relation {
	r := &relation{rows: len(t.rows), columns: make([]relationColumn, t.places+len(t.Family.Readback))}
	for c := range r.columns {
		column := relationColumn{cells: make([]int32, len(t.rows)), values: len(t.Family.Selector)}
		for i, row := range t.rows {
			if c < t.places {
				column.cells[i] = row.code[c]
			} else {
				column.cells[i] = int32(strings.IndexByte(t.Family.PointShows(c-t.places), row.pattern[c-t.places]))
			}
		}
		if c >= t.places {
			column.values = len(t.Family.PointShows(c - t.places))
		}
		r.columns[c] = column
	}
	return r
}

type placedGrouping struct {
	places []int // from 0
	grouping
}

func groupings(r *relation, places, size int) []placedGrouping {
	var all []placedGrouping
	for _, set := range subsets(places, size) {
		all = append(all, placedGrouping{set, r.group(set)})
	}
	return all
}

// bestDependency returns the known dependency with the fewest rows to leave out, the
// first of several, so that exact ones come before approximate ones.
func bestDependency(r *relation, sets []placedGrouping, column int) (best dependency, known bool) {
	for _, set := range sets {
		d := r.measure(set.places, set.grouping, column)
		if d.known() && (!known || d.LeaveOut < best.LeaveOut) {
			best, known = d, true
		}
	}
	return best, known
}

// known reports whether a dependency has enough support to count.
func (d dependency) known() bool {
	return d.Rows >= leastRows && d.Shared*3 >= d.Rows*sharedOfThree &&
		d.LeaveOut <= max(1, d.Rows/leaveOutOneIn)
}

// Predict is the pattern that a code of the family should give, as far as the
// map knows. A code that is not the family's is an error (CodeBadRequest).
func (m *CodeMap) Predict(code []string) (Prediction, error) {
	if err := m.table.Family.CheckCode(code); err != nil {
		return "", err
	}
	return m.predict(m.table.onDial(code)), nil
}

func (m *CodeMap) predict(code []int32) Prediction {
	shows := make([]byte, len(m.Points))
	for i := range m.Points {
		shows[i] = m.Points[i].at(code)
	}
	return Prediction(shows)
}

// PointMap is what one read-back point depends on.
type PointMap struct {
	Point  string
	Places []int // of the code, from 1, one or two; empty: not known
	Rows   int   // that say something at the point
	// LeaveOut is the fewest rows to leave out for the dependency to hold: 0 for
	// an exact one.
	LeaveOut int
	Shared   int    // rows that share their symbols at Places with another
	Constant byte   // what every row shows, where all show the same; else 0
	Reason   string // why the places are not known; empty where they are

	alphabet string
	method   Method
	places   int                        // of a code
	cells    map[[mostPlaces]int32]Cell // by the symbols at Places
	shows    []byte                     // what they show, in row-major order of two places; NotRead where there is none
	ranks    [mostPlaces]ranks          // of the symbols at Places, which index shows
}

// Cell is what the rows with certain symbols at a point's places show there.
type Cell struct {
	Symbols []string // at the places, in their order
	Shows   byte     // what most show; '?' where equally many show another
	Rows    int      // that say something
	Against int      // of them, those that show something else
}

// G3 is the share of rows to leave out for the dependency to hold.
func (p *PointMap) G3() float64 {
	return dependency{Rows: p.Rows, LeaveOut: p.LeaveOut}.G3()
}

func (t *Table) pointMap(point int, d dependency, known bool) PointMap {
	m := PointMap{Point: t.Family.Readback[point], Constant: t.constant(point), alphabet: t.Family.PointShows(point), method: t.Family.Method, places: t.places}
	if !known {
		for _, row := range t.rows {
			if row.pattern[point] != ShowsEither {
				m.Rows++
			}
		}
		m.Reason = notKnownReason(m.Rows)
		return m
	}
	m.Rows, m.LeaveOut, m.Shared = d.Rows, d.LeaveOut, d.Shared
	counts := map[[mostPlaces]int32]map[byte]int{}
	for _, row := range t.rows {
		if row.pattern[point] == ShowsEither {
			continue
		}
		key := symbolsAt(row.code, d.Determinants)
		if counts[key] == nil {
			counts[key] = map[byte]int{}
		}
		counts[key][row.pattern[point]]++
	}
	size := 1
	for i, place := range d.Determinants {
		m.Places = append(m.Places, place+1)
		m.ranks[i] = ranksOf(t.seen[place])
		size *= m.ranks[i].used
	}
	m.cells = make(map[[mostPlaces]int32]Cell, len(counts))
	m.shows = bytes.Repeat([]byte{NotRead}, size)
	for key, count := range counts {
		m.cells[key] = t.cell(key, len(d.Determinants), count, m.alphabet)
		m.shows[m.index(func(i int) int32 { return key[i] })] = m.cells[key].Shows
	}
	return m
}

// ranks number the symbols that rows have at a place, from 0 in dial order: few,
// however many are on the dial.
type ranks struct {
	of   []int32 // by place on the dial; noSymbol where no row has the symbol
	used int
}

func ranksOf(seen []bool) ranks {
	r := ranks{of: make([]int32, len(seen))}
	for symbol, has := range seen {
		r.of[symbol] = noSymbol
		if has {
			r.of[symbol] = int32(r.used)
			r.used++
		}
	}
	return r
}

// cell is what the rows with the same symbols show.
func (t *Table) cell(key [mostPlaces]int32, places int, count map[byte]int, alphabet string) Cell {
	c := Cell{Shows: majority(count, alphabet)}
	for _, symbol := range key[:places] {
		c.Symbols = append(c.Symbols, t.Family.Selector[symbol])
	}
	for shows, n := range count {
		c.Rows += n
		if shows != c.Shows {
			c.Against += n
		}
	}
	return c
}

func notKnownReason(rows int) string {
	switch {
	case rows == 0:
		return "no row tells anything"
	case rows == 1:
		return fmt.Sprintf("only 1 row tells anything, at least %d must", leastRows)
	case rows < leastRows:
		return fmt.Sprintf("only %d rows tell anything, at least %d must", rows, leastRows)
	}
	return "no place and no two places of the code account for it in enough rows"
}

// constant is what every row shows at a point, 0 where they differ.
func (t *Table) constant(point int) byte {
	var all byte
	for _, row := range t.rows {
		switch c := row.pattern[point]; {
		case c == ShowsEither || c == all:
		case all != 0:
			return 0
		default:
			all = c
		}
	}
	return all
}

func symbolsAt(code []int32, places []int) (key [mostPlaces]int32) {
	for i, place := range places {
		key[i] = code[place]
	}
	return key
}

// majority is what most rows show, '?' where equally many show another.
func majority(count map[byte]int, alphabet string) byte {
	best, most := byte(NotRead), 0
	for _, c := range []byte(alphabet) {
		switch n := count[c]; {
		case n > most:
			best, most = c, n
		case n == most && n > 0:
			best = NotRead
		}
	}
	return best
}

// at is what the point shows for a code, '?' where that is not known.
func (p *PointMap) at(code []int32) byte {
	if i := p.index(func(i int) int32 { return code[p.Places[i]-1] }); i >= 0 {
		return p.shows[i]
	}
	return NotRead
}

// index returns the index into shows for the symbols at Places. It is negative
// where no row has one of them, or the places are not known.
func (p *PointMap) index(symbol func(i int) int32) int {
	if len(p.Places) == 0 {
		return -1
	}
	at := 0
	for i := range p.Places {
		s := symbol(i)
		if s == noSymbol || p.ranks[i].of[s] == noSymbol {
			return -1
		}
		at = at*p.ranks[i].used + int(p.ranks[i].of[s])
	}
	return at
}

// Cells are what the point shows for each symbol at its place, or pair of
// symbols at its places, that some row has, in dial order.
func (p *PointMap) Cells() []Cell {
	var cells []Cell
	keys := slices.SortedFunc(maps.Keys(p.cells), func(a, b [mostPlaces]int32) int { return slices.Compare(a[:], b[:]) })
	for _, key := range keys {
		cells = append(cells, p.cells[key])
	}
	return cells
}

// Shown is how people say what the point shows: "lit", "shows 3", "red".
func (p *PointMap) Shown(shows byte) string { return shownIn(p.alphabet, shows) }

// Text is what the point depends on, for people: "place 2", with what limits it.
func (p *PointMap) Text() string {
	var text string
	switch {
	case len(p.Places) == 0:
		return "not known: " + p.Reason
	case p.Constant != 0:
		return fmt.Sprintf("always %s in %s", shownIn(p.alphabet, p.Constant), countOf(p.Rows, "row"))
	case len(p.Places) == 1:
		text = p.method.Place(p.Places[0], p.places)
	default:
		text = p.method.places(p.Places[0], p.Places[1])
	}
	if p.LeaveOut > 0 {
		text += fmt.Sprintf(", but %d of %s otherwise", p.LeaveOut, countOf(p.Rows, "row"))
	}
	return text
}
