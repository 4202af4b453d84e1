package tell

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// counter writes the candidates of one answer.
type counter struct {
	*page
	answer *standin.Answer
	detail Detail
	told   map[string]string // settings told in full, and where
}

func tellCandidates(p *page, a *standin.Answer, detail Detail) {
	c := &counter{p, a, detail, map[string]string{}}
	able := a.Standing()
	for i, candidate := range a.Candidates[:able] {
		p.blank()
		c.candidate(candidate, strconv.Itoa(i+1))
	}
	c.misfits(a.Candidates[able:], able)
}

// candidate writes one board: what is the same whichever build it is, then what
// is not.
func (c *counter) candidate(b standin.Candidate, place string) {
	head := fmt.Sprintf("%3s %s", place, board(b.PartNumber, b.Revision))
	if issue, ok := b.Issue.Get(); ok {
		head += fmt.Sprintf(", issue %d", issue)
	}
	c.ends(0, bound(head), b.Verdict.Phrase())
	if about := describe(b); about != "" {
		c.line(bodyIndent, about)
	}
	tellStock(c.page, &b, c.answer.Machine.Location)
	groups := b.Groups()
	shared := sameSetting(groups)
	if shared != nil {
		c.work(*shared, place)
	}
	for _, g := range groups {
		if len(groups) > 1 {
			c.ends(bodyIndent, "if it is "+standin.BuildNames(standin.Labels(g)), g[0].Verdict.Phrase())
		}
		if g[0].Verdict == standin.No {
			continue
		}
		if shared == nil {
			c.work(g[0], place+", "+standin.BuildNames(standin.Labels(g)))
		}
		c.adaptors(&b, &g[0])
	}
	c.checks(b)
	c.swappable(&b)
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

// setAlike reports whether a board is set the same way for two builds.
func setAlike(a, b standin.BuildAnswer) bool {
	return a.Work == b.Work && a.Family == b.Family && a.Procedure == b.Procedure &&
		a.Pattern == b.Pattern && slices.Equal(a.Code, b.Code)
}

// sameSetting is an answer whose setting is that of every build for which the
// board may do; nil where they are not all the same.
func sameSetting(groups [][]standin.BuildAnswer) *standin.BuildAnswer {
	var first *standin.BuildAnswer
	for _, g := range groups {
		switch {
		case g[0].Verdict == standin.No:
		case first == nil:
			first = &g[0]
		case !setAlike(*first, g[0]):
			return nil
		}
	}
	return first
}

// adaptors names the adaptors that a board needs, with the stock of each.
func (c *counter) adaptors(b *standin.Candidate, in *standin.BuildAnswer) {
	label := "adaptor"
	for _, part := range in.Adaptors {
		said := part
		for i := range b.AdaptorStock {
			if s := &b.AdaptorStock[i]; s.PartNumber == part {
				said += ": " + s.Whereabouts(c.answer.Machine.Location)
			}
		}
		c.item(bodyIndent, label, said)
		label = ""
	}
}

// swappable warns of headers that plugs can be swapped between.
func (c *counter) swappable(b *standin.Candidate) {
	for _, s := range b.SwappableHeaders() {
		text := standin.SwappableCaution(s.Headers)
		if len(s.Builds) < len(c.answer.Builds) {
			text += " (" + standin.BuildNames(s.Builds) + ")"
		}
		c.item(bodyIndent, "caution", text)
	}
}
