package standin

import (
	"math/bits"
	"slices"
)

// bipartite is a bipartite graph: which nodes on the right each node on the left
// may be joined to. It is a matrix of bits with one row for each on the left.
type bipartite struct {
	words int // of a row
	bits  []uint64
}

// clear makes it a graph of this size with none joined, and reuses its space.
func (r *bipartite) clear(left, right int) {
	r.words = (right + 63) / 64
	r.bits = append(r.bits[:0], make([]uint64, left*r.words)...)
}

func (r bipartite) row(l int) []uint64 { return r.bits[l*r.words : (l+1)*r.words] }

func (r bipartite) join(l, right int) { r.row(l)[right/64] |= 1 << (right % 64) }

// unjoin undoes join.
func (r bipartite) unjoin(l, right int) { r.row(l)[right/64] &^= 1 << (right % 64) }

func (r bipartite) joined(l, right int) bool { return r.row(l)[right/64]&(1<<(right%64)) != 0 }

// copyRow joins one on the left as one of another graph is, as far as the first
// right of those on the right go.
func (r bipartite) copyRow(l int, from bipartite, other, right int) {
	row, of := r.row(l), from.row(other)
	for w := range (right + 63) / 64 {
		row[w] |= of[w]
		if last := right - 64*w; last < 64 {
			row[w] &= 1<<last - 1
		}
	}
}

// next returns the first on the right, from an index on, that one on the left may
// be joined to, or -1.
func (r bipartite) next(l, from int) int {
	row := r.row(l)
	for w := from / 64; w < len(row); w++ {
		word := row[w]
		if w == from/64 {
			word &= ^uint64(0) << (from % 64)
		}
		if word != 0 {
			return 64*w + bits.TrailingZeros64(word)
		}
	}
	return -1
}

// any reports whether one on the left may be joined to any in a run on the right.
func (r bipartite) any(l int, right run) bool { return right.has(r.next(l, right.from)) }

// from reports whether one on the right may be joined to any in a run on the left.
func (r bipartite) from(left run, right int) bool {
	for l := left.from; l < left.to; l++ {
		if r.joined(l, right) {
			return true
		}
	}
	return false
}

// unmatched finds whether the first left can each be given one on the right of its
// own (Kuhn's augmenting paths). It returns the index of one that cannot, or -1.
func (r bipartite) unmatched(left int) int { return r.matching(left, nil) }

// matching is like unmatched. Where all are matched and given is not nil, it also
// sets given to the index on the right for each on the left.
func (r bipartite) matching(left int, given *[]int) int {
	var holder [64]int32 // enough for all but the largest boards, without going to the heap
	var tried [1]uint64
	m := matcher{bipartite: r, holder: holder[:], tried: tried[:]}
	if r.words > 1 {
		m.holder, m.tried = make([]int32, 64*r.words), make([]uint64, r.words)
	}
	for l := range left {
		if !m.placeNew(l) {
			return l
		}
	}
	if given != nil {
		*given = slices.Grow((*given)[:0], left)[:left]
		for right, l := range m.holder {
			if l > 0 {
				(*given)[l-1] = right
			}
		}
	}
	return -1
}

type matcher struct {
	bipartite
	holder []int32  // for each on the right, who on the left holds it, plus one; 0: nobody
	tried  []uint64 // bits of those on the right tried in this search
}

// clear makes it a matcher of this size with none joined and none placed, and
// reuses its space.
func (m *matcher) clear(left, right int) {
	m.bipartite.clear(left, right)
	m.holder = append(m.holder[:0], make([]int32, 64*m.words)...)
	m.tried = append(m.tried[:0], make([]uint64, m.words)...)
}

// crowded places the first left of those on the left. Where one cannot be placed it
// returns some, that one among them, that have fewer on the right between them than
// they are (Hall 1935); nil where all are placed.
func (m *matcher) crowded(left int) []int {
	for l := range left {
		if m.placeNew(l) {
			continue
		}
		rows := []int{l}
		for r, holder := range m.holder {
			if m.tried[r/64]&(1<<(r%64)) != 0 {
				rows = append(rows, int(holder-1))
			}
		}
		return rows
	}
	return nil
}

// placeNew places one more on the left and reports whether it can; those placed
// before stay placed.
func (m *matcher) placeNew(l int) bool {
	clear(m.tried)
	return m.place(l)
}

func (m *matcher) place(l int) bool {
	for w, row := range m.row(l) {
		for {
			open := row &^ m.tried[w]
			if open == 0 {
				break
			}
			r := bits.TrailingZeros64(open)
			m.tried[w] |= 1 << r
			holder := &m.holder[64*w+r]
			if *holder == 0 || m.place(int(*holder-1)) {
				*holder = int32(l + 1)
				return true
			}
		}
	}
	return false
}

// copyFrom joins as another graph is, with its rows and columns moved; the columns by
// a multiple of 64.
func (r bipartite) copyFrom(other bipartite, left, right int) {
	for l := 0; l*other.words < len(other.bits); l++ {
		copy(r.row(left + l)[right/64:], other.row(l))
	}
}

// run is the half-open run of places [from, to).
type run struct{ from, to int }

func (r run) has(place int) bool { return r.from <= place && place < r.to }

func (r run) size() int { return r.to - r.from }

func (r run) moved(by int) run { return run{r.from + by, r.to + by} }
