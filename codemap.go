package standin

import "strings"

// What a dependency of a read-back point needs to count as known.
const (
	leastRows     = 8  // that say something at the point
	sharedOfThree = 2  // of three of those, so many share their symbols with another
	leaveOutOneIn = 20 // at most one row in so many is left out, but one always may be
	mostPlaces    = 2  // of the code that a point may depend on
)

// noSymbol stands where the symbol at a place of a code is not known.
const noSymbol = -1

// Prediction is what the code map says a code will show, one character a
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
	relation := t.relation()
	singles := groupings(relation, t.places, 1)
	pairs := groupings(relation, t.places, 2)
	for i := range m.Points {
		column := t.places + i
		best, known := bestDependency(relation, singles, column)
		if !known {
			best, known = bestDependency(relation, pairs, column)
		}
		m.Points[i] = t.pointMap(i, best, known)
	}
	return m
}

// relation is the table as one: a column a place, then a column a point.
func (t *Table) relation() *Relation {
	r := &Relation{rows: len(t.rows), columns: make([]relationColumn, t.places+len(t.Family.Readback))}
	for c := range r.columns {
		column := relationColumn{cells: make([]int32, len(t.rows)), values: len(t.Family.Selector)}
		for i, row := range t.rows {
			if c < t.places {
				column.cells[i] = row.code[c]
			} else {
				column.cells[i] = int32(strings.IndexByte("10f", row.pattern[c-t.places]))
			}
		}
		if c >= t.places {
			column.values = len("10f")
		}
		r.columns[c] = column
	}
	return r
}

type placedGrouping struct {
	places []int // from 0
	grouping
}

func groupings(r *Relation, places, size int) []placedGrouping {
	var all []placedGrouping
	for _, set := range subsets(places, size) {
		all = append(all, placedGrouping{set, r.group(set)})
	}
	return all
}

// bestDependency is the known dependency with the fewest rows to leave out, of
// several the first; exact ones so come before approximate ones.
func bestDependency(r *Relation, sets []placedGrouping, column int) (best Dependency, known bool) {
	for _, set := range sets {
		d := r.measure(set.places, set.grouping, column)
		if d.known() && (!known || d.LeaveOut < best.LeaveOut) {
			best, known = d, true
		}
	}
	return best, known
}

// known tells whether a dependency has enough support to count.
func (d Dependency) known() bool {
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
