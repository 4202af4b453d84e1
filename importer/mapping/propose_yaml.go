package mapping

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"standin"
	"standin/importer/table"
)

// proposal is a mapping while it is written.
type proposal struct {
	strings.Builder
	sampled *sampled
	used    map[*column]bool
	anchors map[string]bool
}

// write is the proposal as YAML.
func (s *sampled) write(family string) string {
	p := &proposal{sampled: s, used: map[*column]bool{}, anchors: map[string]bool{}}
	if family == "" {
		family = toFill
	}
	read := fmt.Sprintf("its first %s", table.Count(s.rows, "row"))
	if s.all {
		read = fmt.Sprintf("its %s", table.Count(s.rows, "row"))
	}
	fmt.Fprintf(p, "# A proposal for %s by its header and %s. Every line says how sure it is:\n"+
		"# read them all, correct them, write what is missing in place of \"?\", and then\n"+
		"#   standin import --check --map THIS-FILE %s\n", oneLine(s.name), read, oneLine(s.name))
	p.WriteString("table:\n")
	if s.sheet != "" {
		fmt.Fprintf(p, "  sheet: %s\n", scalar(s.sheet))
	}
	fmt.Fprintf(p, "  header: %s\n\nrows:\n", strings.ReplaceAll(fmt.Sprint(s.header), " ", ", "))
	code, pattern := s.inRole(codeRole), s.inRole(patternRole)
	if len(code)+len(pattern) > 0 {
		p.family(family, code, pattern)
	}
	if len(s.inRole(partRole)) > 0 {
		p.file("boards", partRole, titleRole, gtinRole)
		if len(code)+len(pattern) > 0 {
			p.constant("family", family, "write it only where every part of the column is of the family")
		}
	}
	if len(s.inRole(modelRole)) > 0 {
		p.model("models", kindRole, fromRole, toRole, voltsRole, hertzRole)
		if len(s.inRole(wattsRole)) > 0 {
			p.onlyWith("loads", wattsRole)
			p.columns(brandRole, modelRole, variantRole)
			p.constant("circuit", toFill, "which circuit it is, such as heater or motor")
			p.columns(wattsRole)
		}
		if len(code)+len(pattern) > 0 {
			p.head("configurations")
			p.constant("family", family, "")
			p.columns(brandRole, modelRole, variantRole)
			p.code(code)
			p.pattern(pattern)
			p.columns(sourceRole)
		}
	}
	p.unused()
	return p.String()
}

func (p *proposal) head(file string) { fmt.Fprintf(p, "  - file: %s\n    columns:\n", file) }

func (p *proposal) onlyWith(file string, r role) {
	c := p.sampled.inRole(r)[0]
	if c.name == "" || c.empty == 0 {
		p.head(file)
		return
	}
	fmt.Fprintf(p, "  - file: %s\n    only_with: %s\n    columns:\n", file, scalar(c.name))
}

func (p *proposal) file(file string, roles ...role) {
	p.head(file)
	p.columns(roles...)
}

func (p *proposal) model(file string, roles ...role) {
	p.head(file)
	p.columns(brandRole, modelRole, variantRole)
	p.columns(roles...)
}

func (p *proposal) line(name, value, comment string) {
	if comment != "" {
		comment = " # " + oneLine(comment)
	}
	fmt.Fprintf(p, "      %s: %s%s\n", name, value, comment)
}

func (p *proposal) constant(name, value, comment string) {
	if value == toFill && comment == "" {
		comment = "unknown: to be written"
	}
	p.line(name, "{constant: "+scalar(value)+"}", comment)
}

// columns are the columns of those roles that there are. A brand that is in no
// column is to be filled in.
func (p *proposal) columns(roles ...role) {
	for _, r := range roles {
		all := p.sampled.inRole(r)
		if len(all) == 0 {
			if r == brandRole {
				p.constant(string(r), toFill, "unknown: no column says it")
			}
			continue
		}
		c := all[0]
		p.used[c] = true
		if p.anchors[string(r)] {
			p.line(string(r), "*"+string(r), "")
			continue
		}
		words := append([]string{c.source()}, c.words()...)
		anchor := ""
		if r == brandRole || r == modelRole || r == variantRole {
			anchor = "&" + string(r) + " "
			p.anchors[string(r)] = true
		}
		p.line(string(r), anchor+"{"+strings.Join(words, ", ")+"}", c.sure+": "+c.why+c.remark())
	}
}

func (c *column) source() string {
	if c.name == "" {
		return "letter: " + table.ColumnLetters(c.at)
	}
	return "column: " + scalar(c.name)
}

// words say how the values of a column are read.
func (c *column) words() []string {
	var words []string
	switch c.role {
	case brandRole:
		if c.empty > 0 {
			words = append(words, "down: true")
		}
	case modelRole, variantRole:
		if separators := c.separators(); len(separators) > 0 {
			words = append(words, "split: "+list(separators))
			if prefix := c.shortened(separators); prefix != "" && c.role == modelRole {
				words = append(words, "prefix: "+prefix)
			}
		}
	case fromRole, toRole:
		if forms, ok := c.forms(); ok && len(forms) > 0 {
			words = append(words, "date: "+list(forms))
		}
	case voltsRole, hertzRole, wattsRole:
		if c.share(func(v string) bool { return strings.Contains(v, ",") }) > 0 {
			words = append(words, "decimal: comma")
		}
		if units := c.units(); len(units) > 0 {
			words = append(words, "unit: "+list(units))
		}
	}
	return words
}

// remark is what a person should look at.
func (c *column) remark() string {
	switch forms, _ := c.forms(); {
	case c.role == brandRole && c.empty > 0:
		return "; empty cells are taken to repeat the one above"
	case (c.role == modelRole || c.role == variantRole) && len(c.separators()) > 0:
		return "; some cells name several"
	case (c.role == fromRole || c.role == toRole) && slices.ContainsFunc(forms, func(f string) bool { return strings.Contains(f, "/") && strings.Contains(f, "D") }):
		return "; which of day and month comes first is a guess"
	case c.role == kindRole:
		return "; translate the words where the catalogue has others"
	}
	return ""
}

// separators part several values in some of the cells.
func (c *column) separators() []string {
	var all []string
	for _, s := range []string{"/", ",", ";", "\n", "+", "&"} {
		if c.share(func(v string) bool { return strings.Contains(v, s) }) > 0 {
			all = append(all, s)
		}
	}
	return all
}

// shortened is how later values of a cell are shortened.
func (c *column) shortened(separators []string) string {
	for _, v := range c.values {
		items := parted(v, separators)
		for _, item := range items[1:] {
			if item != "" && strings.Contains(items[0], " ") && !strings.Contains(item, " ") {
				return string(wordsPrefix)
			}
			if item != "" && len(item) < len(items[0]) {
				return string(lengthPrefix)
			}
		}
	}
	return ""
}

var unitBehind = regexp.MustCompile(`\d\s*([[:alpha:]]{1,4})$`)

func (c *column) units() []string {
	var all []string
	for _, v := range c.values {
		if m := unitBehind.FindStringSubmatch(v); m != nil {
			all = append(all, m[1])
		}
	}
	return distinct(all)
}

// family is the family that the table is about, as far as the table shows it.
func (p *proposal) family(name string, code, pattern []*column) {
	p.head("families")
	p.constant("family", name, "")
	var symbols, points []string
	for _, c := range code {
		for _, v := range c.values {
			symbols = append(symbols, strings.Fields(v)...)
		}
	}
	for _, c := range pattern {
		points = append(points, strings.Join(strings.Fields(c.header), "-"))
	}
	if symbols = distinct(symbols); len(code) > 1 {
		p.constant("selector", strings.Join(symbols, " "), "unsure: the symbols that the table uses; in dial order, with those it does not")
		p.constant("code_length", fmt.Sprint(len(code)), "likely: a column a place")
	} else {
		p.constant("selector", toFill, "the symbols in dial order, with spaces between")
		p.constant("code_length", toFill, "how many symbols a code has")
	}
	if len(points) > 1 {
		p.constant("readback", strings.Join(points, " "), "likely: by their headers")
	}
}

func (p *proposal) code(all []*column) {
	if len(all) == 0 {
		return
	}
	for _, c := range all {
		p.used[c] = true
	}
	if len(all) == 1 {
		p.line("code", "{"+all[0].source()+"}", all[0].sure+": "+all[0].why)
		return
	}
	p.line("code", "{"+sources(all)+"}", all[0].sure+": "+all[0].why)
}

// sources name several columns: by their headers, else by their letters.
func sources(all []*column) string {
	var names, places []string
	for _, c := range all {
		if places = append(places, table.ColumnLetters(c.at)); c.name != "" {
			names = append(names, c.name)
		}
	}
	if len(names) == len(all) {
		return "columns: " + list(names)
	}
	return "letters: " + list(places)
}

func (p *proposal) pattern(all []*column) {
	if len(all) == 0 {
		return
	}
	var values []string
	empty := 0
	for _, c := range all {
		p.used[c] = true
		values = append(values, c.values...)
		empty += c.empty
	}
	if len(all) == 1 && all[0].wholePatterns() {
		p.line("pattern", "{"+all[0].source()+"}", all[0].sure+": "+all[0].why)
		return
	}
	p.WriteString("      pattern: # " + all[0].sure + ": " + all[0].why + "\n")
	fmt.Fprintf(p, "        %s\n        ticks:\n", sources(all))
	for _, u := range usualTicks {
		state := standin.ShownWord(u.shows)
		var seen []string
		for _, v := range distinct(values) {
			if stateOf(v) == state {
				seen = append(seen, v)
			}
		}
		seen = slices.CompactFunc(seen, strings.EqualFold)
		if len(seen) > 0 { // of two that mostly mean the same one may mean another here
			fmt.Fprintf(p, "          %s: %s # unsure: what it mostly means\n", state, list(seen[:1]))
		}
		for _, tick := range seen[min(1, len(seen)):] {
			fmt.Fprintf(p, "          # %s is to be placed too: mostly it means %s, as %s does\n", oneLine(scalar(tick)), state, oneLine(scalar(seen[0])))
		}
	}
	if empty > 0 {
		p.WriteString("          # some cells are empty: write empty: unlit if that is what it means\n")
	}
}

// wholePatterns reports whether each cell has a pattern as a bundle has it: of
// lamps, or with digits beside them.
func (c *column) wholePatterns() bool {
	if c.share(func(v string) bool { return strings.Trim(v, "10f-") == "" }) == 1 {
		return true
	}
	digits := c.share(func(v string) bool { return strings.ContainsAny(v, "23456789") }) > 0
	return digits && c.share(func(v string) bool { return len(v) == len(c.values[0]) && strings.Trim(v, "0123456789f-") == "" }) == 1
}

// unused names the columns that the mapping does not read.
func (p *proposal) unused() {
	for _, c := range p.sampled.columns {
		if !p.used[c] {
			why := c.why
			if why != "" {
				why = ": " + why
			}
			fmt.Fprintf(p, "# not used: column %s, %s%s\n", table.ColumnLetters(c.at), scalar(c.header), oneLine(why))
		}
	}
}

func list(words []string) string {
	var all []string
	for _, w := range words {
		all = append(all, scalar(w))
	}
	return "[" + strings.Join(all, ", ") + "]"
}

var (
	plainScalar = regexp.MustCompile(`^[\p{L}][\p{L}\d ]*[\p{L}\d]$|^[\p{L}\d./]*[\p{L}]$`)
	otherType   = regexp.MustCompile(`(?i)^(y|n|yes|no|true|false|on|off|null)$`)
)

// scalar is text as YAML.
func scalar(text string) string {
	if plainScalar.MatchString(text) && !otherType.MatchString(text) {
		return text
	}
	var b strings.Builder
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	_ = encoder.Encode(text) // a builder takes everything
	return strings.TrimSuffix(b.String(), "\n")
}

// oneLine is text as part of a comment.
func oneLine(text string) string {
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || !unicode.IsPrint(r) }), " ")
}
