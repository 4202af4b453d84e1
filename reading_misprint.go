package standin

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// The codes of findings made with the code map: a row that contradicts the others
// of its family, and a code without a pattern for which the others predict one.
const (
	LikelyMisprint   = "likely-misprint"
	PredictedPattern = "predicted-pattern"
)

// The least belief at which a misprint is reported, and at which it is called
// probable.
const (
	reportMisprint   = 0.35
	probableMisprint = 0.5
)

// Misprint is a recorded configuration that is likely misprinted, with the one
// cause that best explains it.
type Misprint struct {
	Index         int // of the configuration among those the table was made of
	Configuration Configuration
	Corrections   []Correction // the likeliest, then those at least half as likely; none: the row as a whole is wrong
	Sure          float64      // 0 to 1, that the first correction is right, all else considered
	Against       []string     // points at which the row contradicts the others
	Belief        float64      // 0 to 1, that it is misprinted
	Text          string       // one sentence with the evidence
}

// Correction is one change that would put a row right: of one point of the
// pattern, of one symbol of the code, or of two neighbours in it.
type Correction struct {
	Column    string // pattern or code, as in configurations.csv
	Point     string // for the pattern; else empty
	Place     int    // for the code, from 1; else 0
	Exchanged bool   // with the point, or the place, after it
	Recorded  string // what is recorded there: 1, 0 or f, or a symbol
	Correct   string // what should be
	Code      []string
	Pattern   Pattern // with Code, the row as corrected
}

// Misprints are the rows of the table that are likely misprinted, in the order
// they were given. Each is explained by one cause across all its points: one
// point of the pattern, one symbol of the code, else the row as a whole. A
// family without a code has none: nothing says what its patterns should be.
func (t *Table) Misprints() []Misprint {
	if t.places == 0 {
		return nil
	}
	p := newProofreader(t)
	var found []Misprint
	for _, s := range p.suspicions() {
		if s.belief >= reportMisprint {
			found = append(found, p.misprint(t, &s))
		}
	}
	slices.SortFunc(found, func(a, b Misprint) int { return a.Index - b.Index })
	return found
}

func (p *proofreader) misprint(t *Table, s *suspicion) Misprint {
	m := Misprint{Index: t.rows[s.row].configuration, Belief: s.belief}
	m.Configuration = t.configurations[m.Index]
	for i, chance := range s.why.chances {
		if chance < 0.5 {
			m.Against = append(m.Against, t.Family.Readback[i])
		}
	}
	best := s.why.list[0]
	for _, c := range s.why.list {
		if !best.jumbled() && !c.jumbled() && c.odds >= best.odds-math.Ln2 {
			m.Corrections = append(m.Corrections, p.correction(t, m.Configuration, c))
		}
	}
	if len(m.Corrections) > 0 {
		m.Sure = s.belief * math.Exp(min(best.odds, mostOdds)) / s.why.odds
	}
	m.Text = p.sentence(t, &m, s)
	return m
}

func (p *proofreader) correction(t *Table, c Configuration, why cause) Correction {
	if why.point >= 0 {
		pattern := []byte(c.Pattern)
		pattern[why.point] = t.Family.PointShows(why.point)[why.value]
		if why.exchanged {
			pattern[why.point+1] = t.Family.PointShows(why.point + 1)[why.next]
		}
		return Correction{Exchanged: why.exchanged, Column: "pattern", Point: t.Family.Readback[why.point], Recorded: string(c.Pattern[why.point]),
			Correct: string(pattern[why.point]), Code: c.Code, Pattern: Pattern(pattern)}
	}
	code := slices.Clone(c.Code)
	code[why.place] = t.Family.Selector[p.used[why.place][why.value]]
	if why.exchanged {
		code[why.place+1] = c.Code[why.place]
	}
	return Correction{Exchanged: why.exchanged, Column: "code", Place: why.place + 1, Recorded: c.Code[why.place],
		Correct: code[why.place], Code: code, Pattern: c.Pattern}
}

func (p *proofreader) sentence(t *Table, m *Misprint, s *suspicion) string {
	probably := "probably"
	if m.Belief < probableMisprint {
		probably = "possibly"
	}
	if len(m.Corrections) == 0 {
		return fmt.Sprintf("The row is %s misprinted: %s not as in the other rows, and no single correction puts that right.",
			probably, listed(m.Against))
	}
	c := m.Corrections[0]
	var text string
	if c.Column == "pattern" && c.Exchanged {
		text = fmt.Sprintf("what %s and the point after it show is %s exchanged: with the pattern %s the row is as the others", c.Point, probably, c.Pattern)
	} else if c.Column == "pattern" {
		shown := func(shows byte) string { return t.Family.Shown(pointNamed(c.Point, t.Family.Readback), shows) }
		text = fmt.Sprintf("%s %s, not %s: %s", c.Point, doesProbably(probably, shown(c.Correct[0])), strings.TrimPrefix(shown(c.Recorded[0]), "shows "),
			p.evidence(t, s, c.Code))
	} else {
		place := capital(t.Family.Method.Place(c.Place, t.places))
		if !t.Family.Method.words().onBoard {
			place += " of the code"
		}
		text = fmt.Sprintf("%s is %s %s, not %s", place, probably, c.Correct, c.Recorded)
		if c.Exchanged {
			text = fmt.Sprintf("%s and %s next to each other in the code are %s exchanged", c.Recorded, c.Correct, probably)
		}
		text += fmt.Sprintf(": with the code %s the pattern is as in the other rows", strings.Join(c.Code, " "))
		if len(m.Against) > 0 {
			text += "; as it stands, " + listed(m.Against) + " not"
		}
	}
	return text + orElse(t.Family, m.Corrections[1:]) + "."
}

// doesProbably is a word of Shown after the name of a point, with how sure that is:
// "is probably lit", "probably shows 3".
func doesProbably(probably, word string) string {
	if strings.HasPrefix(word, "shows ") {
		return probably + " " + word
	}
	return "is " + probably + " " + word
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// listed returns the first names and how many more there are, with the verb that
// agrees.
func listed(names []string) string {
	const most = 8
	if len(names) == 1 {
		return names[0] + " is"
	}
	if more := len(names) - most; more > 1 {
		names = append(slices.Clone(names[:most]), fmt.Sprintf("%d more", more))
	}
	return AndList(names) + " are"
}

// orElse names the corrections that are about as likely.
func orElse(f *Family, others []Correction) string {
	const most = 3
	var names []string
	for _, c := range others[:min(most, len(others))] {
		if c.Column == "pattern" && c.Exchanged {
			names = append(names, "what "+c.Point+" and the point after it show exchanged")
		} else if c.Column == "pattern" {
			names = append(names, c.Point+" "+f.Shown(pointNamed(c.Point, f.Readback), c.Correct[0]))
		} else if c.Exchanged {
			names = append(names, c.Correct+" and "+c.Recorded+" exchanged")
		} else {
			names = append(names, c.Correct+" at "+f.Method.Place(c.Place, len(c.Code)))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "; about as likely: " + strings.Join(names, ", or ")
}

// evidence says what the other rows with the same symbols show, after misprints
// were put right.
func (p *proofreader) evidence(t *Table, s *suspicion, code []string) string {
	why := s.why.list[0]
	set := s.why.others[why.point].best()
	total, agree := 0, 0
	for row := range p.rows {
		if r := &p.rows[row]; row != s.row && r.shows[why.point] != silent && set.cell(r.code) == set.cell(s.printed.code) {
			total++
			if r.shows[why.point] == why.value {
				agree++
			}
		}
	}
	var with []string
	for _, place := range set.places {
		with = append(with, code[place]+" at "+t.Family.Method.Place(place+1, t.places))
	}
	if total == 1 {
		return "so it is in the one other row with " + AndList(with)
	}
	return fmt.Sprintf("so it is in %d of %d other rows with %s", agree, total, AndList(with))
}
