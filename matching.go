package standin

// matching finds whether each of the left can be given one of the right of its
// own, joined where joins says so (Kuhn's augmenting paths). It returns the
// place of one that cannot, or -1.
func matching(left, right []int, joins func(l, r int) bool) (unmatched int) {
	holder := make([]int, len(right)) // the place in left that holds each of the right, plus one
	seen := make([]int, len(right))   // the round in which each of the right was last tried
	var place func(l, round int) bool
	place = func(l, round int) bool {
		for r := range right {
			if seen[r] == round || !joins(left[l], right[r]) {
				continue
			}
			seen[r] = round
			if holder[r] == 0 || place(holder[r]-1, round) {
				holder[r] = l + 1
				return true
			}
		}
		return false
	}
	for l := range left {
		if !place(l, l+1) {
			return l
		}
	}
	return -1
}
