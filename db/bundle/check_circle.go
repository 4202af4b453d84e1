package bundle

// link leads from an old end to a new one; the old may serve for the new as well
// (both ways). Ends are numbered from 0.
type link struct {
	place    int64
	from, to int32
	bothWays bool
}

// closing returns the links that close a circle, from old to new, when they are
// added in order. Going there and back over links that lead both ways is no circle:
// at least one link must be one-way, unless a link leads to its own beginning.
//
// A circle lies within one strongly connected component, and components are small,
// so a link is tried only against the earlier ones of its component.
func closing(links []link) []link {
	component := components(links)
	var within []link
	for _, l := range links {
		if component[l.from] == component[l.to] {
			within = append(within, l)
		}
	}
	var closing []link
	earlier := walks{}
	for _, l := range within {
		if earlier.closedBy(l) {
			closing = append(closing, l)
		} else {
			earlier.add(l)
		}
	}
	return closing
}

// walks are the links that lead on from each end.
type walks map[int32][]step

type step struct {
	to     int32
	oneWay bool
}

func (w walks) add(l link) {
	w[l.from] = append(w[l.from], step{l.to, !l.bothWays})
}

// closedBy reports whether a link closes a circle of these.
func (w walks) closedBy(l link) bool {
	return l.from == l.to || w.lead(l.to, l.from, l.bothWays)
}

// lead reports whether there is a walk from one end to another. Where oneWay is set
// it must contain a one-way link.
func (w walks) lead(from, to int32, oneWay bool) bool {
	type state struct {
		at   int32
		done bool // a one-way link was walked, or none is required
	}
	start := state{from, !oneWay}
	seen := map[state]bool{start: true}
	for open := []state{start}; len(open) > 0; {
		s := open[len(open)-1]
		open = open[:len(open)-1]
		if s.at == to && s.done {
			return true
		}
		for _, step := range w[s.at] {
			next := state{step.to, s.done || step.oneWay}
			if !seen[next] {
				seen[next] = true
				open = append(open, next)
			}
		}
	}
	return false
}

// components returns the strongly connected component of each end, by number
// (Tarjan 1972, with an explicit stack in place of recursion).
func components(links []link) []int32 {
	next := adjacency(links)
	n := len(next)
	c := &tarjan{next: next, component: make([]int32, n), index: make([]int32, n), low: make([]int32, n)}
	for v := range next {
		if c.index[v] == 0 {
			c.visit(int32(v))
		}
	}
	return c.component
}

func adjacency(links []link) [][]int32 {
	var n int32
	for _, l := range links {
		n = max(n, l.from+1, l.to+1)
	}
	next := make([][]int32, n)
	for _, l := range links {
		next[l.from] = append(next[l.from], l.to)
	}
	return next
}

type tarjan struct {
	next       [][]int32
	component  []int32 // 0: not in one yet
	index, low []int32 // index 0: not visited
	visited    int32
	found      int32
	open       []int32 // visited, not in a component yet
}

// frame is an end whose links are being followed, and how many have been.
type frame struct{ end, followed int32 }

func (c *tarjan) visit(root int32) {
	for path := []frame{c.enter(root)}; len(path) > 0; {
		top := &path[len(path)-1]
		if v := top.end; int(top.followed) < len(c.next[v]) {
			w := c.next[v][top.followed]
			top.followed++
			switch {
			case c.index[w] == 0:
				path = append(path, c.enter(w))
			case c.component[w] == 0:
				c.low[v] = min(c.low[v], c.index[w])
			}
			continue
		}
		v := top.end
		path = path[:len(path)-1]
		if len(path) > 0 {
			above := path[len(path)-1].end
			c.low[above] = min(c.low[above], c.low[v])
		}
		c.leave(v)
	}
}

func (c *tarjan) enter(v int32) frame {
	c.visited++
	c.index[v], c.low[v] = c.visited, c.visited
	c.open = append(c.open, v)
	return frame{end: v}
}

// leave closes the component of which v was the first to be visited.
func (c *tarjan) leave(v int32) {
	if c.low[v] != c.index[v] {
		return
	}
	c.found++
	for {
		w := c.open[len(c.open)-1]
		c.open = c.open[:len(c.open)-1]
		c.component[w] = c.found
		if w == v {
			return
		}
	}
}
