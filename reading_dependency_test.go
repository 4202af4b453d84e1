package standin

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// tulips is the eight-row relation of Huhtala, Kärkkäinen, Porkka and
// Toivonen, The Computer Journal 42(2), 1999, fig. 1 (from memory).
const tulips = `
1 a $ Flower
1 A £ Tulip
2 A $ Daffodil
2 A $ Flower
2 b £ Lily
3 b $ Orchid
3 c £ Flower
3 c # Rose`

// lectures is a published relation of Course, Classroom, Professor, Semester,
// given with its seven minimal dependencies.
const lectures = `
Math 512 Smith Fall
Physics 406 Green Fall
English 208 Turner Fall
History 209 Davis Fall
Math 512 Smith Spring
Physics 503 Gray Spring
English 116 Turner Spring
Biology 209 Light Spring`

func relationOf(text string) *relation {
	var rows [][]string
	for line := range strings.Lines(strings.TrimSpace(text)) {
		rows = append(rows, strings.Fields(line))
	}
	return newRelation(rows)
}

func TestMinimalDependencies(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, rows, columns, want string
	}{
		{"TANE fig. 1", tulips, "ABCD", "AC→B AD→B AD→C BC→A BD→A BD→C"},
		{"lectures: Course, cLassroom, Professor, Semester", lectures, "CLPS",
			"P→C CL→P CS→L CS→P LS→C LS→P PS→L"},
		{"a column that is the same in every row", "x 1\nx 2", "AB", "→A"},
		{"no rows", "", "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got := map[string]bool{}
			for _, d := range relationOf(tt.rows).Minimal(4, 0) {
				got[arrow(d, tt.columns)] = true
			}
			want := map[string]bool{}
			for _, d := range strings.Fields(tt.want) {
				want[d] = true
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("minimal dependencies (-want +got):\n%s", diff)
			}
		})
	}
}

func arrow(d dependency, names string) string {
	var left string
	for _, c := range d.Determinants {
		left += names[c : c+1]
	}
	return left + "→" + names[d.Dependent:d.Dependent+1]
}

func TestG3(t *testing.T) {
	t.Parallel()
	// The values are those of TANE, section 2 (from memory).
	tests := []struct {
		from string
		to   int
		want string
	}{
		{"A", 1, "3/8"},
		{"B", 0, "2/8"},
		{"D", 2, "1/8"},
		{"AC", 1, "0/8"},
	}
	r := relationOf(tulips)
	for _, tt := range tests {
		var from []int
		for _, c := range tt.from {
			from = append(from, int(c-'A'))
		}
		d := r.Measure(from, tt.to)
		if got := fmt.Sprintf("%d/%d", d.LeaveOut, d.Rows); got != tt.want {
			t.Errorf("g3(%s→%c) = %s, want %s", tt.from, 'A'+tt.to, got, tt.want)
		}
	}
}

func TestApproximateMinimalDependencies(t *testing.T) {
	t.Parallel()
	// By hand: leaving out rows 2 and 5 makes B→A hold, 4 and 7 D→A; with that,
	// BC→A and BD→A are no longer minimal.
	var got []string
	for _, d := range relationOf(tulips).Minimal(4, 0.25) {
		if d.Dependent == 0 {
			got = append(got, arrow(d, "ABCD"))
		}
	}
	if diff := cmp.Diff([]string{"B→A", "D→A"}, got); diff != "" {
		t.Errorf("dependencies of A up to 2/8 (-want +got):\n%s", diff)
	}
}

func TestEmptyCellsSayNothing(t *testing.T) {
	t.Parallel()
	r := newRelation([][]string{{"x", "1"}, {"x", ""}, {"x", "1"}, {"y", "0"}, {"y", ""}})
	want := dependency{Determinants: []int{0}, Dependent: 1, Rows: 3, LeaveOut: 0, Shared: 2}
	if diff := cmp.Diff(want, r.Measure([]int{0}, 1)); diff != "" {
		t.Errorf("measure (-want +got):\n%s", diff)
	}
}

// newRelation returns the relation of these rows, all as long as the first. An
// empty cell says nothing where its column is the dependent one: that row is not
// counted. Where its column is a determinant it is a value like any other.
func newRelation(rows [][]string) *relation {
	r := &relation{rows: len(rows)}
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

// Measure returns how far the determinants determine the dependent.
func (r *relation) Measure(determinants []int, dependent int) dependency {
	determinants = slices.Sorted(slices.Values(determinants))
	return r.measure(determinants, r.group(determinants), dependent)
}

// Minimal returns every dependency with at most this many determinants whose g3 is
// at most the given share, unless a proper subset of its determinants has one too;
// by dependent, then by number of determinants, then by these. The work grows with
// the number of sets of columns: it is meant for tables of a dozen or two.
func (r *relation) Minimal(determinants int, g3 float64) []dependency {
	var found []dependency
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

// coversAny reports whether set contains all of one of the others.
func coversAny(set []int, others [][]int) bool {
	return slices.ContainsFunc(others, func(other []int) bool {
		return !slices.ContainsFunc(other, func(c int) bool { return !slices.Contains(set, c) })
	})
}
