package standin

import "slices"

// PatternIndex finds, among the recorded patterns of many families, those
// nearest to a reading. It keeps each different pattern once, as bit masks, so
// that a million configurations are looked through in a few milliseconds.
// Filling it is for one goroutine; once filled it may be used at the same time.
//
// What stands behind a pattern is a number of the caller's: that of a row of
// the store, say.
type PatternIndex struct {
	byLength map[int]*patternList
	at       map[Pattern]int // place in its list
}

// patternList is the different patterns with one number of points, in the order
// they were added. The words of a pattern follow each other.
type patternList struct {
	patterns []Pattern
	words    packed
	rows     [][]int64
}

// NewPatternIndex is an index with nothing in it.
func NewPatternIndex() *PatternIndex {
	return &PatternIndex{byLength: map[int]*patternList{}, at: map[Pattern]int{}}
}

// Add puts a row with a recorded pattern into the index. An empty pattern is
// left out: nothing is recorded to compare.
func (x *PatternIndex) Add(p Pattern, row int64) {
	if p == "" {
		return
	}
	list := x.byLength[len(p)]
	if list == nil {
		list = &patternList{}
		x.byLength[len(p)] = list
	}
	at, seen := x.at[p]
	if !seen {
		at = len(list.patterns)
		x.at[p] = at
		list.patterns = append(list.patterns, p)
		list.words = append(list.words, packPattern(p)...)
		list.rows = append(list.rows, nil)
	}
	list.rows[at] = append(list.rows[at], row)
}

// NearPattern is a recorded pattern with the rows that have it, compared with a
// reading.
type NearPattern struct {
	Pattern    Pattern
	Rows       []int64 // in the order they were added
	Mismatches int
	Counting   int // points at which both say something
}

// Nearest is what an index has near a reading.
type Nearest struct {
	Patterns []NearPattern // by mismatches, then by more counting points
	Exact    int           // rows in the whole index without a mismatch, where some point counts
	Rows     int           // rows in the whole index with as many points
}

// Nearest looks up the patterns nearest to a reading with as many points, until
// they have limit rows; the last pattern is not cut short. A reading with no
// point read is an error (CodeBadRequest, field reading).
func (x *PatternIndex) Nearest(reading Reading, limit int) (Nearest, error) {
	if reading.Read() == 0 {
		return Nearest{}, nothingRead()
	}
	list := x.byLength[len(reading)]
	if list == nil {
		return Nearest{}, nil
	}
	n := nearness{len(reading)}
	ranks := list.rank(reading, n)
	inRank := make([]int, n.rank(n.points, 0)+1) // rows
	nearest := Nearest{}
	for i, r := range ranks {
		inRank[r] += len(list.rows[i])
		nearest.Rows += len(list.rows[i])
	}
	for r := range n.rank(0, 0) {
		nearest.Exact += inRank[r]
	}
	nearest.Patterns = list.upTo(lastRank(inRank, limit), limit, ranks, n)
	return nearest, nil
}

// lastRank is the rank that reaches the limit of rows.
func lastRank(inRank []int, limit int) int {
	rows := 0
	for r, n := range inRank {
		if rows += n; rows >= limit {
			return r
		}
	}
	return len(inRank) - 1
}

// upTo are the patterns of no rank beyond the last, nearest first, until the
// limit of rows is reached.
func (l *patternList) upTo(last, limit int, ranks []uint32, n nearness) []NearPattern {
	var near []NearPattern
	for i, r := range ranks {
		if int(r) <= last {
			near = append(near, NearPattern{l.patterns[i], l.rows[i], n.mismatches(int(r)), n.counting(int(r))})
		}
	}
	slices.SortStableFunc(near, func(a, b NearPattern) int {
		return n.rank(a.Mismatches, a.Counting) - n.rank(b.Mismatches, b.Counting)
	})
	rows := 0
	for i := range near {
		if rows >= limit {
			return near[:i]
		}
		rows += len(near[i].Rows)
	}
	return near
}

// nearness numbers how near a pattern is to a reading: by mismatches, then by
// more counting points, of so many there are.
type nearness struct{ points int }

func (n nearness) rank(mismatches, counting int) int {
	return mismatches*(n.points+1) + n.points - counting
}
func (n nearness) mismatches(rank int) int { return rank / (n.points + 1) }
func (n nearness) counting(rank int) int   { return n.points - rank%(n.points+1) }

// rank is the rank of each pattern.
func (l *patternList) rank(reading Reading, n nearness) []uint32 {
	seen := pack(string(reading))
	ranks := make([]uint32, len(l.patterns))
	if len(seen) == 1 {
		for i := range l.words {
			ranks[i] = uint32(n.rank(l.words[i].compare(&seen[0])))
		}
		return ranks
	}
	for i := range l.patterns {
		own := l.words[i*len(seen) : (i+1)*len(seen)]
		ranks[i] = uint32(n.rank(own.compare(seen)))
	}
	return ranks
}

func nothingRead() error {
	return badReading("no point was read; write what was seen as %s", ReadingForms)
}
