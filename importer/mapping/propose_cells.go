package mapping

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"standin/importer/table"
)

// words returns the keys with which a mapping reads the values of a column for one of its
// roles, and what a person should look at.
func (s *sampled) words(c *column, r role) (words []string, remark string) {
	if s.continued(c) {
		words, remark = append(words, "down: true"), "; empty cells are taken to repeat the one above"
	}
	more, said := s.valueWords(c, r)
	return append(words, more...), said + remark
}

func (s *sampled) valueWords(c *column, r role) (words []string, remark string) {
	switch r {
	case modelRole, variantRole:
		return s.severalWords(c, r)
	case fromRole, toRole:
		if _, spans := c.spanForms(); c.role == madeRole && spans {
			return c.spanWords(r)
		}
		words, remark = c.dateWords()
		if c.role == madeRole && r == toRole {
			remark += "; one date is taken for the first and the last"
		}
		return words, remark
	case serialFromRole, serialToRole:
		if c.role == serialRole {
			return []string{"range: " + strings.TrimPrefix(string(r), "serial_")}, ""
		}
	case kindRole, elementRole, conditionRole, interchangeRole, circuitRole:
		return c.translation(string(r))
	case partRole, revisionRole:
		if m := c.partAndRevision(); m != nil {
			return m.words(r)
		}
	case optionsRole:
		if c.part("comma", func(v string) bool { return strings.ContainsAny(v, ",;/+") }) > 0 {
			return []string{`list: [",", ";", /, +]`}, ""
		}
	}
	if _, ok := quantities[r]; ok && r == c.role {
		if r == hertzRole && c.part("digits alone", table.AllDigits) == 1 {
			return nil, ""
		}
		return s.numberWords(c)
	}
	return nil, ""
}

// continued reports a column whose empty cells repeat the one above: that of a brand, or
// others that are empty where the row goes on with the model of the one before.
func (s *sampled) continued(c *column) bool {
	if c.empty == 0 || len(c.values) == 0 || s.found.pivot != nil {
		return false
	}
	models := s.inRole(modelRole)
	if c.role == brandRole {
		return c.rows[0] == 0
	}
	if len(models) == 0 || models[0].empty == 0 || c.rows[0] != 0 || !identifies[c.role] {
		return false
	}
	for _, row := range s.body {
		if row.Cell(models[0].at) == "" && row.Cell(c.at) != "" {
			return false
		}
	}
	return true
}

// identifies are the roles of what is written once for several rows.
var identifies = map[role]bool{brandRole: true, modelRole: true, variantRole: true, kindRole: true, fromRole: true, toRole: true, madeRole: true,
	voltsRole: true, hertzRole: true, partRole: true}

func (c *column) dateWords() (words []string, remark string) {
	forms, ok := c.forms()
	if !ok || len(forms) == 0 {
		return nil, ""
	}
	if slices.ContainsFunc(forms, func(f string) bool { return strings.Contains(f, "/") && strings.Contains(f, "D") }) && !c.dayIsClear() {
		remark = "; which of day and month comes first is a guess"
	}
	return []string{"date: " + list(forms)}, remark
}

var firstOfDate = regexp.MustCompile(`^(\d{1,2})/(\d{1,2})/`)

// dayIsClear reports whether a date has a number above 12 where the month is not.
func (c *column) dayIsClear() bool {
	return slices.ContainsFunc(c.values, func(v string) bool {
		m := firstOfDate.FindStringSubmatch(v)
		return m != nil && (table.TwoDigits(m[1]) > "12" || table.TwoDigits(m[2]) > "12")
	})
}

func (c *column) spanWords(r role) (words []string, remark string) {
	words = []string{"range: " + strings.TrimPrefix(string(r), "made_")}
	forms, _ := c.spanForms()
	if len(forms) > 0 {
		words = append(words, "date: "+list(forms))
	}
	return words, remark
}

// severalWords returns how cells are read that may name several models.
func (s *sampled) severalWords(c *column, r role) (words []string, remark string) {
	separators, doubtful := c.separators()
	if len(separators) > 0 {
		words, remark = append(words, "split: "+list(separators)), "; some cells name several"
		if prefix := c.shortened(separators); prefix != "" && r == modelRole {
			words = append(words, "prefix: "+prefix)
		}
	}
	if len(doubtful) > 0 {
		remark += fmt.Sprintf("; add split: %s if %s parts several in a cell", list(doubtful), strings.Join(doubtful, " or "))
	}
	return words, remark
}

// separators part several values in some of the cells. A sign between figures of which the
// later are shorter may belong to one value: it is doubtful.
func (c *column) separators() (sure, doubtful []string) {
	for _, sign := range []string{"/", ",", ";", "\n", "+", "&", "|"} {
		has, clear := 0, 0
		for _, v := range c.distinct() {
			parts := strings.Split(v, sign)
			if len(parts) < 2 {
				continue
			}
			has++
			if severalModels(parts, sign) {
				clear++
			}
		}
		switch {
		case has == 0:
		case clear*4 >= has*3:
			sure = append(sure, sign)
		default:
			doubtful = append(doubtful, sign)
		}
	}
	return sure, doubtful
}

var lastDigits = regexp.MustCompile(`(\d+)\D*$`)

// severalModels reports whether parts of a cell are each a model: they have digits, and no
// fewer at the end than the first has, or the signs are apart from them.
func severalModels(parts []string, sign string) bool {
	first := lastDigits.FindStringSubmatch(parts[0])
	for i, part := range parts {
		digits := lastDigits.FindStringSubmatch(part)
		apart := sign == "\n" || sign == ";" || i > 0 && strings.HasPrefix(part, " ")
		switch {
		case table.Trim(part) == "" || first == nil || digits == nil:
			return false
		case !apart && len(digits[1]) < len(first[1]):
			return false
		}
	}
	return true
}

// shortened is how later values of a cell are shortened.
func (c *column) shortened(separators []string) string {
	for _, v := range c.values {
		items := parted(v, separators)
		for _, item := range items[1:] {
			if item != "" && strings.Contains(items[0], " ") && !strings.Contains(item, " ") && !hasLetters(item) {
				return string(wordsPrefix)
			}
		}
	}
	return ""
}

// translation returns how words of a subject are translated.
func (c *column) translation(subject string) (words []string, remark string) {
	var pairs, unknown []string
	for _, v := range c.distinct() {
		m := meaning(subject, v)
		switch {
		case m == "" && subject == string(circuitRole):
			m = strings.ReplaceAll(foldWords(v), " ", "-")
			if unknown = append(unknown, v); m == fold(v) {
				continue
			}
		case m == "":
			unknown = append(unknown, v)
			continue
		case m == fold(v):
			continue
		}
		pairs = append(pairs, scalar(v)+": "+scalar(m))
	}
	if len(unknown) > 0 {
		remark = "; not known: " + table.Cut(strings.Join(unknown, ", "), 60)
	}
	if len(pairs) == 0 {
		return nil, remark
	}
	words = append(words, "translate: {"+strings.Join(pairs, ", ")+"}")
	if len(pairs) < len(c.distinct()) {
		words = append(words, "otherwise: keep")
	}
	return words, remark
}

// revised is how a column writes a part with its revision.
type revised struct {
	between string // a regular expression of what stands between the two
	lacking bool   // some have no revision
}

var withRevision = regexp.MustCompile(`^(.*\d\S*?)([ ,;/(-]+)(\pL{1,10}\.?)?[ :.]*([A-Z]|\d{1,2}|[A-Z]\d{1,2})\)?$`)

// partAndRevision returns how part and revision stand in one cell, nil where they do not.
func (c *column) partAndRevision() *revised {
	n, words := 0, map[string]bool{}
	values := c.distinct()
	for _, v := range values {
		m := withRevision.FindStringSubmatch(v)
		if m == nil || m[3] == "" {
			continue
		}
		best, score := bestRole(says(m[3], ""))
		if folded := foldWords(m[3]); score > 0.6 && (best == revisionRole || best == issueRole) || folded == "rev" || folded == "r" || folded == "v" {
			words[regexp.QuoteMeta(m[3])] = true
			n++
		}
	}
	if n*3 < len(values) || n == 0 {
		return nil
	}
	return &revised{"[ ,;/(-]+(?:" + strings.Join(sortedKeys(words), "|") + ")[ :.]*", n < len(values)}
}

// words returns how the part or the revision is taken out of the cell.
func (m *revised) words(r role) (words []string, remark string) {
	if r == partRole {
		return []string{"match: '^(.+?)(?:" + m.between + `\w+\)?)?$'`}, "; without the revision behind it"
	}
	words = []string{"match: '" + m.between + `(\w+)\)?$'`}
	if m.lacking {
		words = append(words, "otherwise: empty")
	}
	return words, "; it stands behind the part"
}
