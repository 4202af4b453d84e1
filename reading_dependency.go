package standin

import "slices"

// relation is a table whose cells are only compared for equality. It finds
// which columns determine which others: functional dependencies, exact or
// approximate.
//
// The error of a dependency is g3, the smallest share of rows to leave out for
// it to hold (Kivinen and Mannila, Approximate inference of functional
// dependencies from relations, Theoretical Computer Science 149, 1995; used by
// Huhtala, Kärkkäinen, Porkka and Toivonen in TANE, The Computer Journal 42(2),
// 1999). It is counted in whole rows here, so that comparing two is exact.
type relation struct {
	rows    int
	columns []relationColumn
}

// relationColumn holds one number per row, equal for equal cells; silent for a cell
// that says nothing.
type relationColumn struct {
	cells  []int32
	values int
}

const silent = -1

// dependency is how far a set of columns determines another, counted over the
// rows that say something in the determined column.
type dependency struct {
	Determinants []int // ascending; empty where the column is the same in every row
	Dependent    int
	Rows         int // that say something
	LeaveOut     int // the fewest of them to leave out for it to hold
	Shared       int // of them, those that share their determinants with another
}

// G3 returns the share of rows to leave out, 0 where no row says anything.
func (d dependency) G3() float64 {
	if d.Rows == 0 {
		return 0
	}
	return float64(d.LeaveOut) / float64(d.Rows)
}

// grouping numbers the rows so that those that agree in a set of columns have
// the same number.
type grouping struct {
	ids    []int32
	groups int
}

func (r *relation) group(columns []int) grouping {
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

func (r *relation) measure(determinants []int, by grouping, dependent int) dependency {
	column := r.columns[dependent]
	d := dependency{Determinants: determinants, Dependent: dependent}
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

// subsets returns the sets of size numbers below n, each ascending, in
// lexicographical order.
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
