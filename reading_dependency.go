package standin

import "slices"

// Relation is a table whose cells are only compared for equality. It finds
// which columns determine which others: functional dependencies, exact or
// approximate.
//
// The error of a dependency is g3, the smallest share of rows to leave out for
// it to hold (Kivinen and Mannila, Approximate inference of functional
// dependencies from relations, Theoretical Computer Science 149, 1995; used by
// Huhtala, Kärkkäinen, Porkka and Toivonen in TANE, The Computer Journal 42(2),
// 1999). It is counted in whole rows here, so that comparing two is exact.
type Relation struct {
	rows    int
	columns []relationColumn
}

// relationColumn holds a number a row, equal for equal cells; silent for a cell
// that says nothing.
type relationColumn struct {
	cells  []int32
	values int
}

const silent = -1

// NewRelation is the relation of these rows, all as long as the first. An empty
// cell says nothing where its column is determined: that row is not counted.
// Where its column determines others it is a value like any other.
func NewRelation(rows [][]string) *Relation {
	r := &Relation{rows: len(rows)}
	if len(rows) == 0 {
		return r
	}
	for c := range rows[0] {
		column := relationColumn{cells: make([]int32, len(rows))}
		numbers := map[string]int32{}
		for i, row := range rows {
			n, seen := numbers[row[c]]
			if !seen {
				n = int32(len(numbers))
				numbers[row[c]] = n
			}
			column.cells[i] = n
		}
		column.values = len(numbers)
		if blank, any := numbers[""]; any {
			column.silence(blank)
		}
		r.columns = append(r.columns, column)
	}
	return r
}

// silence makes the cells that hold number n say nothing.
func (c *relationColumn) silence(n int32) {
	for i, v := range c.cells {
		if v == n {
			c.cells[i] = silent
		}
	}
}

// Dependency is how far a set of columns determines another, counted over the
// rows that say something in the determined column.
type Dependency struct {
	Determinants []int // ascending; empty where the column is the same in every row
	Dependent    int
	Rows         int // that say something
	LeaveOut     int // the fewest of them to leave out for it to hold
	Shared       int // of them, those that share their determinants with another
}

// G3 is the share of rows to leave out, 0 where nothing is said.
func (d Dependency) G3() float64 {
	if d.Rows == 0 {
		return 0
	}
	return float64(d.LeaveOut) / float64(d.Rows)
}

// Measure tells how far the determinants determine the dependent.
func (r *Relation) Measure(determinants []int, dependent int) Dependency {
	determinants = slices.Sorted(slices.Values(determinants))
	return r.measure(determinants, r.group(determinants), dependent)
}

// grouping numbers the rows so that those that agree in a set of columns have
// the same number.
type grouping struct {
	ids    []int32
	groups int
}

func (r *Relation) group(columns []int) grouping {
	g := grouping{ids: make([]int32, r.rows), groups: 1}
	for _, c := range columns {
		g = g.split(r.columns[c])
	}
	return g
}

// split refines a grouping by one more column, keeping the numbers dense.
func (g grouping) split(by relationColumn) grouping {
	width := by.values + 1 // one more for silent
	numbers := make([]int32, g.groups*width)
	out := grouping{ids: make([]int32, len(g.ids))}
	for i, id := range g.ids {
		cell := &numbers[int(id)*width+int(by.cells[i])+1]
		if *cell == 0 {
			out.groups++
			*cell = int32(out.groups)
		}
		out.ids[i] = *cell - 1
	}
	return out
}

func (r *Relation) measure(determinants []int, by grouping, dependent int) Dependency {
	column := r.columns[dependent]
	d := Dependency{Determinants: determinants, Dependent: dependent}
	counts := make([]int32, by.groups*column.values)
	for i, id := range by.ids {
		if v := column.cells[i]; v != silent {
			counts[int(id)*column.values+int(v)]++
		}
	}
	for g := range by.groups {
		total, most := int32(0), int32(0)
		for _, n := range counts[g*column.values : (g+1)*column.values] {
			total += n
			most = max(most, n)
		}
		d.Rows += int(total)
		d.LeaveOut += int(total - most)
		if total > 1 {
			d.Shared += int(total)
		}
	}
	return d
}

// Minimal is every dependency of at most so many determinants whose g3 is at
// most the given share, such that no proper subset of the determinants does as
// well; by dependent, then by number of determinants, then by these. The work
// grows with the number of sets of columns: it is meant for tables of a dozen
// or two.
func (r *Relation) Minimal(determinants int, g3 float64) []Dependency {
	var found []Dependency
	for dependent := range r.columns {
		var minimal [][]int
		for size := 0; size <= min(determinants, len(r.columns)-1); size++ {
			for _, set := range subsets(len(r.columns), size) {
				if slices.Contains(set, dependent) || coversAny(set, minimal) {
					continue
				}
				if d := r.measure(set, r.group(set), dependent); d.G3() <= g3 {
					minimal = append(minimal, set)
					found = append(found, d)
				}
			}
		}
	}
	return found
}

// coversAny tells whether set contains all of one of the others.
func coversAny(set []int, others [][]int) bool {
	return slices.ContainsFunc(others, func(other []int) bool {
		return !slices.ContainsFunc(other, func(c int) bool { return !slices.Contains(set, c) })
	})
}

// subsets are the sets of size numbers below n, ascending, in lexical order.
func subsets(n, size int) [][]int {
	if size == 0 {
		return [][]int{{}}
	}
	var all [][]int
	for last := size - 1; last < n; last++ {
		for _, head := range subsets(last, size-1) {
			all = append(all, append(slices.Clone(head), last))
		}
	}
	slices.SortFunc(all, slices.Compare)
	return all
}
