package mapping

import (
	"maps"
	"regexp"
	"slices"
	"strings"

	"standin/importer/table"
)

// mostAbove is how many rows may stand above the body of a table.
const mostAbove = 30

// found is how a table is shaped, as far as its first rows show it.
type found struct {
	header   []int // rows, counted from 0 in the sample; none: it has no header
	own      []string
	above    []string // what stands above each of own
	starting []string // how rows begin that are no data
	repeated bool
	sections []section
	headings [][]string // what the headings of each section say
	marks    map[string]string
	pivot    *pivotFound
}

// pivotFound are columns by which rows are joined.
type pivotFound struct {
	by          []int
	name, value int
	names       []string
	states      []string // what all rows say of their point
}

// look finds the shape of a table in its rows, and returns those that are data.
func (f *found) look(rows []table.Record) []table.Record {
	f.findHeader(rows)
	first := 0
	if n := len(f.header); n > 0 {
		first = f.header[n-1] + 1
	}
	body := slices.Clone(rows[first:])
	body = f.withoutRepeats(rows, body)
	body = f.withoutTotals(body)
	body = f.withoutLegend(body)
	body = f.withoutHeadings(body)
	return f.joined(body)
}

// headerScore returns how many cells of a row a header would have, and of how many.
func headerScore(row table.Record) (named float64, filled int) {
	for at := range row.Cells {
		text := row.Cell(at)
		if text == "" {
			continue
		}
		filled++
		if isNumber(text) || row.Kind(at) == table.DateCell {
			continue
		}
		best := 0.0
		for _, score := range says(text, "").roles {
			best = max(best, score)
		}
		if best >= 0.6 {
			named += best
		}
	}
	return named, filled
}

// findHeader finds the rows of the header: the one with most words that headers have, and
// those around it that it needs.
func (f *found) findHeader(rows []table.Record) {
	best, most := -1, 0.0
	for i, row := range rows[:min(len(rows)-1, mostAbove)] {
		named, filled := headerScore(row)
		if filled > 1 && named > most && named >= 0.34*float64(filled) && !likeBelow(rows, i) {
			best, most = i, named
		}
	}
	if best < 0 || most < 1.2 {
		if best = contrasted(rows); best < 0 {
			return
		}
	}
	f.header = []int{best}
	if next := best + 1; next < len(rows)-1 && rows[next].Line == rows[best].Line+1 && continuesHeader(rows, best, next) {
		f.header = append(f.header, next)
	} else if before := best - 1; before >= 0 && rows[before].Line == rows[best].Line-1 && captions(rows[before]) {
		f.header = []int{before, best}
	}
	var all [][]string
	for _, h := range f.header {
		all = append(all, trimmed(rows[h].Cells))
	}
	f.own = all[len(all)-1]
	f.above = joinHeaders(append(slices.Clone(all[:len(all)-1]), nil))
}

// likeBelow reports whether most of what a row says stands below it again, as what data
// says does.
func likeBelow(rows []table.Record, at int) bool {
	again, filled := 0, 0
	for i := range rows[at].Cells {
		text := rows[at].Cell(i)
		if text == "" {
			continue
		}
		filled++
		for _, row := range rows[at+1:] {
			if headed(row.Cell(i)) == headed(text) && !sameRow(row, rows[at]) {
				again++
				break
			}
		}
	}
	return again*3 > filled
}

func sameRow(a, b table.Record) bool {
	for i := range max(len(a.Cells), len(b.Cells)) {
		if headed(a.Cell(i)) != headed(b.Cell(i)) {
			return false
		}
	}
	return true
}

// contrasted returns a first row of words over columns of numbers, dates or signs: a
// header whose words are not known; -1 without one.
func contrasted(rows []table.Record) int {
	usual := usualWidth(rows)
	for i, row := range rows[:min(len(rows)-1, mostAbove)] {
		_, filled := firstCell(row)
		if filled < 2 || filled*2 < usual {
			continue
		}
		contrasts := 0
		for at := range row.Cells {
			text := row.Cell(at)
			switch {
			case text == "":
			case hasDigits(text) && !hasLetters(text) || row.Kind(at) != table.TextCell, isTick(text):
				return -1
			case classBelow(rows[i+1:], at) != wordClass:
				contrasts++
			}
		}
		if contrasts*3 >= filled && !likeBelow(rows, i) {
			return i
		}
		return -1
	}
	return -1
}

// usualWidth is how many cells most rows have.
func usualWidth(rows []table.Record) int {
	counts := map[int]int{}
	for _, row := range rows {
		_, filled := firstCell(row)
		counts[filled]++
	}
	best := 0
	for _, n := range slices.Sorted(maps.Keys(counts)) {
		if counts[n]*n > counts[best]*best {
			best = n
		}
	}
	return best
}

// The classes of what cells say, as far as headers differ from data by them.
const (
	wordClass = iota
	numberClass
	mixedClass // letters and digits, or a date
	signClass
)

func classOf(text string, kind table.CellKind) int {
	switch {
	case kind != table.TextCell, isNumber(text), isQuantity(text):
		return numberClass
	case isTick(text), !hasLetters(text) && !hasDigits(text):
		return signClass
	case hasDigits(text):
		return mixedClass
	}
	return wordClass
}

// classBelow returns the class of most cells of a column.
func classBelow(rows []table.Record, at int) int {
	counts := [4]int{}
	for _, row := range rows {
		if text := row.Cell(at); text != "" {
			counts[classOf(text, row.Kind(at))]++
		}
	}
	best := wordClass
	for class, n := range counts {
		if n > counts[best] {
			best = class
		}
	}
	return best
}

// continuesHeader reports whether the row below a header's belongs to it: it leaves out
// the first column, and does not look like the data below.
func continuesHeader(rows []table.Record, best, next int) bool {
	row := rows[next]
	first, filled := firstCell(row)
	if filled == 0 || first == 0 || first == 0 && rows[best].Cell(0) != "" {
		return false
	}
	like := 0
	for at := range row.Cells {
		text := row.Cell(at)
		if text != "" && classOf(text, row.Kind(at)) == classBelow(rows[next+1:], at) && !headerUnits[strings.ToLower(strings.Trim(text, "[]()"))] {
			like++
		}
	}
	below := usualWidth(rows[next+1:])
	return like*2 <= filled || filled*2 < below && hasQualifier(row)
}

func hasQualifier(row table.Record) bool {
	for at := range row.Cells {
		if text := row.Cell(at); text != "" && len(qualifiers(text)) > 0 {
			return true
		}
	}
	return false
}

// captions reports whether a row holds captions over groups of columns: text, not in the
// first column alone.
func captions(row table.Record) bool {
	first, filled := firstCell(row)
	if filled == 0 || filled == 1 && first == 0 {
		return false
	}
	for at := range row.Cells {
		if text := row.Cell(at); text != "" && !hasLetters(text) {
			return false
		}
	}
	return true
}

// withoutRepeats leaves out rows that repeat a row of the header.
func (f *found) withoutRepeats(rows, body []table.Record) []table.Record {
	return slices.DeleteFunc(body, func(row table.Record) bool {
		again := slices.ContainsFunc(f.header, func(h int) bool { return sameRow(row, rows[h]) })
		f.repeated = f.repeated || again
		return again
	})
}

// withoutTotals leaves out rows that begin with a word for a total or a page.
func (f *found) withoutTotals(body []table.Record) []table.Record {
	usual := usualWidth(body)
	return slices.DeleteFunc(body, func(row table.Record) bool {
		first, filled := firstCell(row)
		text := row.Cell(first)
		words := strings.Fields(text)
		if filled == usual && first == 0 && usual < 4 {
			return false
		}
		for n := min(2, len(words)); n > 0; n-- {
			said := strings.TrimRight(strings.Join(words[:n], " "), ":.")
			if meaning("total", said) != "" {
				f.start(said)
				return true
			}
		}
		return false
	})
}

func (f *found) start(text string) {
	if !slices.ContainsFunc(f.starting, func(s string) bool { return fold(s) == fold(text) }) {
		f.starting = append(f.starting, text)
	}
}

var legendLike = regexp.MustCompile(`^(\*+|[†‡§¹²³⁴⁵⁶⁷⁸⁹]+|\(?\d\))[\s:=–-]*(\pL.*)$`)

// withoutLegend leaves out rows that explain footnotes, and finds the marks.
func (f *found) withoutLegend(body []table.Record) []table.Record {
	f.marks = map[string]string{}
	body = slices.DeleteFunc(body, func(row table.Record) bool {
		first, filled := firstCell(row)
		text := row.Cell(first)
		if filled == 2 && legendLike.MatchString(text+" x") && usualWidth(body) > 3 {
			text += " " + table.Trim(strings.Join(row.Cells[first+1:], ""))
		} else if filled != 1 {
			return false
		}
		if m := legendLike.FindStringSubmatch(text); m != nil {
			f.marks[m[1]] = m[2]
			return true
		}
		return false
	})
	for _, row := range body {
		for at := range row.Cells {
			text := row.Cell(at)
			mark := table.Trim(usualMark.FindString(text))
			if mark == "" || mark == text || hasDigits(mark) && f.marks[mark] == "" || row.Kind(at) != table.TextCell {
				continue
			}
			if f.marks[mark] == "" && hasLetters(text) {
				f.marks[mark] = unexplained
			}
		}
	}
	n := footnotes{texts: f.marks, marks: slices.SortedFunc(maps.Keys(f.marks), func(a, b string) int { return len(b) - len(a) })}
	if len(n.marks) == 0 {
		return body
	}
	for i, row := range body {
		row.Cells = slices.Clone(row.Cells)
		for at := range row.Cells {
			row.Cells[at], _, _ = n.strip(row.Cell(at))
		}
		body[i] = row
	}
	return body
}

// unexplained stands for the meaning of a mark that the table does not explain.
const unexplained = "not explained in the table"

// withoutHeadings leaves out rows with one cell: headings above others, and what stands
// below the last row of data.
func (f *found) withoutHeadings(body []table.Record) []table.Record {
	if usualWidth(body) < 3 {
		return body
	}
	last := len(body) - 1
	for ; last >= 0; last-- {
		if _, filled := firstCell(body[last]); filled > 1 {
			break
		}
	}
	var kept []table.Record
	var texts []string
	column := -1
	for i, row := range body {
		first, filled := firstCell(row)
		text := row.Cell(first)
		switch {
		case filled != 1:
			kept = append(kept, row)
		case i > last:
			f.start(table.Cut(text, mostOfBeginning))
		case column < 0 || first == column:
			column, texts = first, append(texts, text)
		default:
			kept = append(kept, row)
		}
	}
	if column >= 0 {
		f.takeHeadings(column, distinct(texts))
	}
	return kept
}

// mostOfBeginning is how many characters of a row say how it begins.
const mostOfBeginning = 40

var labelled = regexp.MustCompile(`^([\pL .]+):\s*(\S.*)$`)

// takeHeadings finds out what headings are about: a kind of appliance, or else a brand;
// and which words before a colon they begin with.
func (f *found) takeHeadings(column int, texts []string) {
	var kinds, others []string
	for _, text := range texts {
		if meaning("kind", text) != "" {
			kinds = append(kinds, text)
		} else {
			others = append(others, text)
		}
	}
	at := ref{letter: column}
	add := func(name role, match string, says []string) {
		s := section{name: "heading " + string(name), ref: at}
		if match != "" {
			s.match = regexp.MustCompile(match)
		}
		f.sections, f.headings = append(f.sections, s), append(f.headings, says)
	}
	if len(kinds) > 0 && len(others) > 0 {
		var words []string
		for _, k := range kinds {
			words = append(words, regexp.QuoteMeta(k))
		}
		add(kindRole, "^("+strings.Join(words, "|")+")$", kinds)
	} else if len(kinds) > 0 {
		add(kindRole, "", kinds)
	}
	if len(others) == 0 {
		return
	}
	name, match := brandRole, ""
	if m := labelled.FindStringSubmatch(others[0]); m != nil && !slices.ContainsFunc(others, func(o string) bool { return !strings.HasPrefix(o, m[1]+":") }) {
		match = "^" + regexp.QuoteMeta(m[1]) + `:\s*(.+)$`
		for i, o := range others {
			others[i] = table.Trim(strings.TrimPrefix(o, m[1]+":"))
		}
		if r, score := bestRole(says(m[1], "")); score > 0.6 {
			name = r
		}
	}
	add(name, match, others)
}

// bestRole returns the role that a header names best.
func bestRole(s headerSays) (best role, score float64) {
	for _, r := range slices.Sorted(maps.Keys(s.roles)) {
		if s.roles[r] > score {
			best, score = r, s.roles[r]
		}
	}
	return best, score
}

// joined finds columns of which one names a read-back point and another says what it
// shows, a row each, and returns the first row of each group.
func (f *found) joined(body []table.Record) []table.Record {
	width := 0
	for _, row := range body {
		width = max(width, len(row.Cells))
	}
	states := slices.DeleteFunc(seq(width), func(at int) bool {
		return slices.ContainsFunc(body, func(row table.Record) bool { return !isTick(row.Cell(at)) })
	})
	if len(states) == 0 || len(states) > 2 || len(body) < 4 {
		return body
	}
	value := states[len(states)-1]
	for name := range width {
		if name == value {
			continue
		}
		if p := pivoted(body, name, value, width); p != nil {
			f.pivot = p
			var first []table.Record
			for i, row := range body {
				p.states = append(p.states, row.Cell(value))
				if i == 0 || !p.continues(row, first[len(first)-1]) {
					first = append(first, row)
				}
			}
			return first
		}
	}
	return body
}

func seq(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// pivoted returns the pivot by which a column names points, nil where it names none: its
// values come again and again, each once in a group, and the other columns say the same
// within a group.
func pivoted(body []table.Record, name, value, width int) *pivotFound {
	const mostPoints = 64
	var names []string
	groups, start := [][2]int{}, 0
	seen := map[string]bool{}
	for i, row := range body {
		text := row.Cell(name)
		if text == "" {
			return nil
		}
		if seen[text] {
			groups, start = append(groups, [2]int{start, i}), i
			seen = map[string]bool{}
		}
		seen[text] = true
		if !slices.Contains(names, text) {
			names = append(names, text)
		}
	}
	groups = append(groups, [2]int{start, len(body)})
	if len(groups) < 2 || len(names) < 2 || len(names) > mostPoints || len(body)*10 < len(groups)*len(names)*9 {
		return nil
	}
	p := &pivotFound{name: name, value: value, names: names}
	for at := range width {
		if at == name || at == value {
			continue
		}
		constant, changes := true, false
		for g, span := range groups {
			for _, row := range body[span[0]+1 : span[1]] {
				if text := row.Cell(at); text != "" && text != body[span[0]].Cell(at) {
					constant = false
				}
			}
			if g > 0 && body[span[0]].Cell(at) != body[groups[g-1][0]].Cell(at) {
				changes = true
			}
		}
		if constant && changes {
			p.by = append(p.by, at)
		}
	}
	if len(p.by) == 0 {
		return nil
	}
	return p
}

// continues reports whether a row belongs to the group that another has begun.
func (p *pivotFound) continues(row, first table.Record) bool {
	return !slices.ContainsFunc(p.by, func(at int) bool {
		text := row.Cell(at)
		return text != "" && text != first.Cell(at)
	})
}
