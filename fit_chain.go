package standin

// chains are the supersessions that can be walked from a part: to the new end
// of a link, and either way over a two-way link.
type chains map[string][]string

func newChains(links []Supersession) chains {
	c := chains{}
	for _, link := range links {
		c[link.Old] = append(c[link.Old], link.New)
		if link.TwoWay {
			c[link.New] = append(c[link.New], link.Old)
		}
	}
	return c
}

// from returns the distance, in links walked, of every part that a chain of any
// length reaches from the part; 0 for the part itself. It is nil for an empty part
// number.
func (c chains) from(part string) map[string]int {
	if part == "" {
		return nil
	}
	distance := map[string]int{part: 0}
	for queue := []string{part}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		for _, next := range c[at] {
			if _, reached := distance[next]; !reached {
				distance[next] = distance[at] + 1
				queue = append(queue, next)
			}
		}
	}
	return distance
}
