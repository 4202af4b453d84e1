package mapping

import (
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// side is which end of a span a cell takes.
type side string

const (
	bothSides side = "" // the cell holds no span
	fromSide  side = "from"
	toSide    side = "to"
)

// dashes part the two ends of a span; an arrow may do so too.
var dashes = []string{"–", "—", "−", "-", "→", "->", "…", "..."}

// apostrophes are the signs before the two last digits of a year.
var apostrophes = strings.NewReplacer("’", "'", "‘", "'", "`", "'", "´", "'", "′", "'")

// end returns one end of the span that a text names, "" where that end is open.
func (c *cell) end(text string) (string, *table.Fault) {
	from, to, f := c.ends(table.Trim(apostrophes.Replace(text)))
	if f != nil {
		return "", f
	}
	if c.side == fromSide {
		return from, nil
	}
	return to, nil
}

// ends returns both ends of a span: "2001-2004", "from 2001 to 2004", "since 2001",
// "up to 2004". One value alone is both. Words may be in any language of words.yaml.
func (c *cell) ends(text string) (from, to string, f *table.Fault) {
	words := strings.Fields(text)
	begin := qualified(words, "from")
	if end := qualified(words, "to"); begin == 0 && end > 0 {
		return c.spanned(text, "", strings.Join(words[end:], " "))
	}
	if end, at := inside(words[begin:]); at > 0 {
		from, to = strings.Join(words[begin:begin+at], " "), strings.Join(words[begin+at+end:], " ")
		return c.spanned(text, from, to)
	}
	if begin > 0 {
		return c.spanned(text, strings.Join(words[begin:], " "), "")
	}
	return c.dashed(text)
}

// spanned returns the ends of a span if each can be one.
func (c *cell) spanned(text, from, to string) (string, string, *table.Fault) {
	if isOpen(to) {
		to = ""
	}
	if from == "" && to == "" || !c.canEnd(from) || !c.canEnd(to) {
		return "", "", c.noSpan(text)
	}
	return from, to, nil
}

func (c *cell) noSpan(text string) *table.Fault {
	return table.BadValue("%s is not a span that can be read; write it as from and to with a dash between", table.Quoted(text))
}

// dashed returns the ends of a span with a dash between. Where several dashes would do,
// what it says is not known.
func (c *cell) dashed(text string) (from, to string, f *table.Fault) {
	if c.isDate() && c.canEnd(text) {
		if twoYears(text) && c.readsShort() {
			return "", "", table.BadValue("%s may be a month, or two years; write it as 2001-2004", table.Quoted(text))
		}
		return text, text, nil
	}
	var found [][2]string
	spaced := false
	for at := range text {
		for _, dash := range dashes {
			after, ok := strings.CutPrefix(text[at:], dash)
			if !ok {
				continue
			}
			before := text[:at]
			if strings.HasSuffix(before, "-") || strings.HasPrefix(after, ">") {
				continue
			}
			left, right := table.Trim(before), table.Trim(after)
			if isOpen(right) {
				right = ""
			}
			if left == "" && right == "" || !c.canEnd(left) || !c.canEnd(right) {
				continue
			}
			apart := left != before || right != after && after != ""
			if apart && !spaced {
				found, spaced = nil, true
			}
			if apart == spaced && !slices.Contains(found, [2]string{left, right}) {
				found = append(found, [2]string{left, right})
			}
		}
	}
	if years := strings.Split(text, "/"); len(found) == 0 && len(years) == 2 && len(years[0]) == 4 && len(years[1]) == 4 && c.isDate() {
		found = append(found, [2]string{years[0], years[1]})
	}
	switch {
	case len(found) == 1:
		return found[0][0], found[0][1], nil
	case len(found) > 1:
		return "", "", table.BadValue("%s can be parted at several dashes; write spaces around the one that is meant", table.Quoted(text))
	case c.isDate():
		return "", "", c.noSpan(text)
	}
	return text, text, nil
}

func (c *cell) isDate() bool {
	return c.column.Kind == standin.FromDate || c.column.Kind == standin.ToDate
}

// canEnd reports whether text can be one end of a span: a date, or where the column is
// none anything with a digit.
func (c *cell) canEnd(text string) bool {
	if text == "" || !c.isDate() {
		return text == "" || hasDigits(text)
	}
	_, f := localDate(c.dates, text)
	return f == nil
}

// readsShort reports whether the mapping reads a year of two digits alone.
func (c *cell) readsShort() bool {
	return slices.ContainsFunc(c.dates, func(d dateForm) bool { return d.form == "YY" })
}

// twoYears reports text such as 2001-04, a month or a span of years.
func twoYears(text string) bool {
	return len(text) == 7 && text[4] == '-' && table.AllDigits(text[:4]+text[5:])
}

// isOpen reports words for an end that has not come.
func isOpen(text string) bool {
	return meaning("until", text) != "" || strings.Trim(text, ".… ?") == "" && text != ""
}

// longestQualifier is how many words one has at most.
const longestQualifier = 4

// qualified returns how many words at the beginning say from, or to; 0 where none do.
func qualified(words []string, name string) int {
	for n := min(longestQualifier, len(words)-1); n > 0; n-- {
		if slices.Contains(trade().qualifiers[name], foldWords(strings.Join(words[:n], " "))) {
			return n + qualified(words[n:], name)
		}
	}
	return 0
}

// inside returns how many words say to between others, and where; 0 and 0 without such.
func inside(words []string) (count, at int) {
	for at = 1; at < len(words)-1; at++ {
		if count = qualified(words[at:], "to"); count > 0 {
			return count, at
		}
	}
	return 0, 0
}
