package mapping

import (
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
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
	entries []*proposed
}

// proposed is an entry of a proposal: how rows become rows of one file.
type proposed struct {
	file  string
	keys  []string // only_with and the like
	items []item
}

// item says where a column of a file comes from.
type item struct {
	column, value string
	comment       string   // how sure it is and why
	caution       string   // what a person should think of here
	block         []string // further lines
}

// write is the proposal as YAML.
func (s *sampled) write() string {
	p := &proposal{sampled: s, used: map[*column]bool{}}
	s.findDecimals()
	p.plan()
	p.require()
	read := fmt.Sprintf("its first %s", table.Count(s.rows, "row"))
	if s.all {
		read = fmt.Sprintf("its %s", table.Count(s.rows, "row"))
	}
	fmt.Fprintf(p, "# A proposal for %s by its header and %s. Every line says how sure it is:\n"+
		"# read them all, correct them, write what is missing in place of \"?\", and then\n"+
		"#   standin map --explain THIS-FILE %s\n#   standin import --check --map THIS-FILE %s\n", oneLine(s.name), read, oneLine(s.name), oneLine(s.name))
	p.table()
	p.WriteString("\nrows:\n")
	p.anchor()
	for _, e := range p.entries {
		fmt.Fprintf(p, "  - file: %s\n", e.file)
		for _, key := range e.keys {
			fmt.Fprintf(p, "    %s\n", key)
		}
		p.WriteString("    columns:\n")
		for _, i := range e.items {
			fmt.Fprintf(p, "      %s:%s%s\n", i.column, spaced(i.value), i.remark())
			for _, line := range i.block {
				fmt.Fprintf(p, "        %s\n", line)
			}
		}
	}
	if len(p.entries) == 0 {
		p.WriteString("  # no column was recognised as one of a bundle; say where each comes from:\n  # - {file: models, columns: {brand: ..., model: ...}}\n")
	}
	p.unused()
	return p.String()
}

// remark is the comment behind an item.
func (i item) remark() string {
	said := i.comment
	if i.caution != "" {
		said = strings.TrimPrefix(said+"; "+i.caution, "; ")
	}
	if said == "" {
		return ""
	}
	return " # " + oneLine(said)
}

func spaced(value string) string {
	if value == "" {
		return ""
	}
	return " " + value
}

// table writes how the table is shaped.
func (p *proposal) table() {
	s, f := p.sampled, p.sampled.found
	p.WriteString("table:\n")
	if s.asked.Sheet != "" {
		fmt.Fprintf(p, "  sheet: %s\n", scalar(s.asked.Sheet))
	}
	header := noHeader + " # the first row looks like those below; its columns are named by their letters"
	if len(s.lines) > 0 {
		header = strings.ReplaceAll(fmt.Sprint(s.lines), " ", ", ")
	}
	fmt.Fprintf(p, "  header: %s\n", header)
	if len(s.lines) == 0 && len(s.body) > 0 && s.body[0].Line > 1 {
		fmt.Fprintf(p, "  skip: 1-%d # titles above the table\n", s.body[0].Line-1)
	}
	if len(f.starting) > 0 {
		fmt.Fprintf(p, "  skip_starting: %s # totals, pages and the like\n", list(f.starting))
	}
	if f.repeated {
		p.WriteString("  repeated_header: skip # it comes again further down\n")
	}
	p.sections()
	if len(f.marks) > 0 {
		var marks []string
		for _, mark := range sortedKeys(f.marks) {
			marks = append(marks, scalar(mark)+": "+scalar(f.marks[mark]))
		}
		fmt.Fprintf(p, "  footnotes: {marks: {%s}} # likely: they stand behind what cells say\n", strings.Join(marks, ", "))
	}
	if f.pivot != nil {
		var by []string
		for _, at := range f.pivot.by {
			by = append(by, s.at(at).called())
		}
		name, value := s.at(f.pivot.name), s.at(f.pivot.value)
		p.used[name], p.used[value] = true, true
		fmt.Fprintf(p, "  pivot: {by: %s, name: %s, value: %s, columns: %s} # likely: one row a lamp\n", list(by), scalar(name.called()), scalar(value.called()), list(f.pivot.names))
	}
}

func (p *proposal) sections() {
	s := p.sampled
	for i, section := range s.found.sections {
		if i == 0 {
			p.WriteString("  sections:\n")
		}
		match := ""
		if section.match != nil {
			match = ", match: '" + strings.ReplaceAll(section.match.String(), "'", "''") + "'"
		}
		fmt.Fprintf(p, "    - {as: %s, letter: %s%s} # likely: a row with nothing else, as %s\n", section.name, table.ColumnLetters(section.letter), match,
			scalar(s.found.headings[i][0]))
	}
}

// at returns the column at a place.
func (s *sampled) at(place int) *column {
	for _, c := range s.columns {
		if c.at == place {
			return c
		}
	}
	return &column{at: place}
}

// called returns the name of a column; where it has none, a mapping must name it by its
// letters.
func (c *column) called() string {
	if c.name == "" {
		return "column " + table.ColumnLetters(c.at)
	}
	return c.name
}

// anchor has what is written several times written once: later places refer to it.
func (p *proposal) anchor() {
	type said struct{ column, value string }
	times, names, taken := map[said]int{}, map[said]string{}, map[string]bool{}
	for _, e := range p.entries {
		for _, i := range e.items {
			times[said{i.column, i.value}]++
		}
	}
	for _, e := range p.entries {
		for n := range e.items {
			i := &e.items[n]
			key := said{i.column, i.value}
			if times[key] < 2 || i.block != nil {
				continue
			}
			if name := names[key]; name != "" {
				i.value, i.comment = "*"+name, ""
				continue
			}
			name := i.column
			for n := 2; taken[name]; n++ {
				name = i.column + strconv.Itoa(n)
			}
			taken[name], names[key] = true, name
			i.value = "&" + name + " " + i.value
		}
	}
}

// require leaves to a person what every row of a file needs and the table does not show.
func (p *proposal) require() {
	for _, e := range p.entries {
		file, _ := standin.FileNamed(e.file)
		for _, column := range file.Columns {
			if column.Required && !slices.ContainsFunc(e.items, func(i item) bool { return i.column == column.Name }) {
				e.constant(column.Name, toFill, "unknown: no column says it")
			}
		}
	}
}

// entry begins an entry for a file.
func (p *proposal) entry(file string, keys ...string) *proposed {
	e := &proposed{file: file, keys: keys}
	p.entries = append(p.entries, e)
	return e
}

func (e *proposed) constant(column, value, comment string) {
	if value == toFill && comment == "" {
		comment = "unknown: to be written"
	}
	e.items = append(e.items, item{column: column, value: "{constant: " + scalar(value) + "}", comment: comment})
}

// take adds a column of the file where the table has one in that role, and reports whether
// it does.
func (p *proposal) take(e *proposed, name string, r role) bool {
	s := p.sampled
	if slices.ContainsFunc(e.items, func(i item) bool { return i.column == name }) {
		return true // another role has said it already
	}
	for i, section := range s.found.sections {
		if section.name == "heading "+string(r) {
			value := "{column: " + section.name
			if r == kindRole {
				c := &column{values: s.found.headings[i]}
				if words, _ := c.translation("kind"); len(words) > 0 {
					value += ", " + strings.Join(words, ", ")
				}
			}
			e.items = append(e.items, item{column: name, value: value + "}", comment: "likely: by the headings"})
			return true
		}
	}
	c := s.roleOf(r)
	if c == nil {
		return false
	}
	p.used[c] = true
	words, remark := s.words(c, r)
	value := "{" + strings.Join(append([]string{c.source()}, words...), ", ") + "}"
	e.items = append(e.items, item{column: name, value: value, comment: c.sure + ": " + c.why + remark})
	return true
}

// roleOf returns the column that has a role, alone or with another: a span has both a
// beginning and an end.
func (s *sampled) roleOf(r role) *column {
	roles := []role{r}
	switch r {
	case fromRole, toRole:
		roles = append(roles, madeRole)
	case serialFromRole, serialToRole:
		roles = append(roles, serialRole)
	}
	for _, r := range roles {
		if all := s.inRole(r); len(all) > 0 {
			return all[0]
		}
	}
	if parts := s.inRole(partRole); r == revisionRole && len(parts) > 0 && parts[0].partAndRevision() != nil {
		return parts[0]
	}
	return nil
}

func (s *sampled) has(roles ...role) bool {
	return slices.ContainsFunc(roles, func(r role) bool { return s.roleOf(r) != nil })
}

func (c *column) source() string {
	if c.name == "" {
		return "letter: " + table.ColumnLetters(c.at)
	}
	return "column: " + scalar(c.name)
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

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

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

// readback returns the names of the points of a pattern.
func (s *sampled) readback(pattern []*column) (names []string, comment string) {
	if p := s.found.pivot; p != nil {
		for _, name := range p.names {
			names = append(names, strings.Join(strings.Fields(name), "-"))
		}
		return names, "likely: the names of the rows"
	}
	if len(pattern) == 0 {
		return nil, ""
	}
	if len(pattern) == 1 {
		if pattern[0].lamps() != nil || pattern[0].part("pattern", func(v string) bool { return patternLike.MatchString(v) }) == 1 {
			for i := range len(pattern[0].values[0]) {
				names = append(names, fmt.Sprintf("L%d", i+1))
			}
		}
		return names, "unsure: the table does not name the points; write those of the board"
	}
	for _, c := range pattern {
		names = append(names, strings.Join(strings.Fields(c.header), "-"))
	}
	if len(distinct(names)) < len(names) || slices.Contains(names, "") {
		for i := range names {
			names[i] = fmt.Sprintf("L%d", i+1)
		}
		return names, "unsure: the table does not name the points; write those of the board"
	}
	return names, "likely: by their headers"
}

// tickLines returns the lines that say what the cells of a pattern mean. A sign beside another
// that mostly means the same may mean something else here; words are clear.
func tickLines(values []string, empty, none bool) []string {
	lines := []string{"ticks:"}
	var doubts []string
	placed := map[string]bool{}
	for _, u := range usualTicks {
		state := standin.ShownWord(u.shows)
		var words, signs []string
		for _, v := range distinct(values) {
			switch {
			case stateOf(v) != state || placed[fold(v)]:
				continue
			case meaning("shown", v) != "":
				words = append(words, v)
			default:
				signs = append(signs, v)
			}
			placed[fold(v)] = true
		}
		kept := append(words, signs[:min(len(signs), max(0, 1-len(words)))]...)
		if len(kept) > 0 {
			sure := unsure + ": what it mostly means"
			if len(words) == len(kept) {
				sure = likely + ": what the words mean"
			}
			lines = append(lines, fmt.Sprintf("  %s: %s # %s", state, list(kept), sure))
		}
		for _, sign := range signs[len(kept)-len(words):] {
			doubts = append(doubts, fmt.Sprintf("  # %s is to be placed too: mostly it means %s, as %s does", oneLine(scalar(sign)), state, oneLine(scalar(kept[0]))))
		}
	}
	lines = append(lines, doubts...)
	switch {
	case empty && none:
		lines = append(lines, "  empty: unlit # unsure: no other cell says unlit")
	case empty:
		lines = append(lines, "  # some cells are empty: write empty: unlit if that is what it means")
	}
	return lines
}
