package tell

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"standin"
)

func tellCandidates(p *page, a *standin.Answer, detail Detail) {
	able := standing(a)
	for i, c := range a.Candidates[:able] {
		p.blank()
		tellCandidate(p, a, c, strconv.Itoa(i+1), detail)
	}
	tellMisfits(p, a, a.Candidates[able:], able, detail)
}

func tellCandidate(p *page, a *standin.Answer, c standin.Candidate, place string, detail Detail) {
	head := fmt.Sprintf("%3s %s", place, board(c.PartNumber, c.Revision))
	if issue, ok := c.Issue.Get(); ok {
		head += fmt.Sprintf(", issue %d", issue)
	}
	p.ends(0, bound(head), verdictWords[c.Verdict])
	if about := describe(c); about != "" {
		p.line(bodyIndent, about)
	}
	tellStock(p, c.Stock, a.Machine.Location)
	groups := alike(c.Builds)
	for _, g := range groups {
		if len(groups) > 1 {
			p.ends(bodyIndent, "if it is "+buildNames(labels(g)), verdictWords[g[0].Verdict])
		}
		tellGroup(p, a, g, detail)
	}
}

// describe is the title, and how the board is related to the factory's.
func describe(c standin.Candidate) string {
	var said []string
	if c.Title != "" {
		said = append(said, c.Title)
	}
	if d, ok := c.Distance.Get(); ok && d == 0 {
		said = append(said, "the factory board")
	} else if ok {
		said = append(said, count(d, "supersession", "supersessions")+" from the factory board")
	}
	return strings.Join(said, "; ")
}

// alike groups the builds for which the same is to be done with the board.
func alike(builds []standin.BuildAnswer) [][]standin.BuildAnswer {
	var groups [][]standin.BuildAnswer
	for _, b := range builds {
		i := slices.IndexFunc(groups, func(g []standin.BuildAnswer) bool { return sameAnswer(g[0], b) })
		if i < 0 {
			groups = append(groups, []standin.BuildAnswer{b})
			continue
		}
		groups[i] = append(groups[i], b)
	}
	return groups
}

func sameAnswer(a, b standin.BuildAnswer) bool {
	return a.Verdict == b.Verdict && a.Work == b.Work && a.Family == b.Family && a.Procedure == b.Procedure &&
		a.Pattern == b.Pattern && slices.Equal(a.Code, b.Code) && slices.Equal(a.Adaptors, b.Adaptors)
}

func labels(group []standin.BuildAnswer) []string {
	var all []string
	for _, b := range group {
		all = append(all, b.Build)
	}
	return all
}

func tellGroup(p *page, a *standin.Answer, group []standin.BuildAnswer, detail Detail) {
	b := group[0]
	if b.Verdict != standin.No {
		tellWork(p, a, b)
		tellAdaptors(p, b)
	}
	tellChecks(p, group, detail)
	if b.Verdict != standin.No {
		tellSwappable(p, group)
	}
}

func tellAdaptors(p *page, b standin.BuildAnswer) {
	switch len(b.Adaptors) {
	case 0:
	case 1:
		p.item(bodyIndent, "adaptor", b.Adaptors[0])
	default:
		p.item(bodyIndent, "adaptors", list(b.Adaptors, "and"))
	}
}

// tellSwappable warns of headers that the same plug seats on.
func tellSwappable(p *page, group []standin.BuildAnswer) {
	var told [][2]string
	for _, b := range group {
		for _, pair := range b.Swappable {
			if slices.Contains(told, pair) {
				continue
			}
			told = append(told, pair)
			p.item(bodyIndent, "caution", fmt.Sprintf("the same plug seats on %s and on %s, but they carry "+
				"different circuits or are not recorded; mark the plugs, one on the wrong header can destroy the board",
				pair[0], pair[1]))
		}
	}
}
