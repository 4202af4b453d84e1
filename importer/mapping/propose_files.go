package mapping

import (
	"fmt"
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// plan decides which files the table becomes rows of.
func (p *proposal) plan() {
	s := p.sampled
	configured := s.has(codeRole, patternRole) || s.found.pivot != nil
	modelled := s.has(modelRole)
	if configured && s.family == nil {
		p.families()
	}
	if s.has(layoutRole) && s.has(connectorRole) {
		e := p.entry("layouts")
		p.all(e, "layout", layoutRole, "connector", connectorRole, "ways", waysRole, "pitch_mm", pitchRole, "key", keyRole, "circuits", circuitsRole)
	}
	if s.has(partRole) && (modelled || configured || s.has(titleRole, gtinRole, revisionRole, issueRole, familyRole)) {
		p.boards(configured)
	}
	if s.has(markingRole) && s.has(partRole) {
		e := p.entry("markings")
		p.all(e, "marking", markingRole, "part_number", partRole, "note", noteRole)
	}
	if s.has(circuitRole) && s.has(partRole) && s.has(ampsRole) && !modelled {
		e := p.entry("ratings")
		p.all(e, "part_number", partRole)
		p.revision(e)
		p.all(e, "circuit", circuitRole, "max_amps", ampsRole)
	}
	if s.has(oldRole) && s.has(newRole) {
		e := p.entry("supersessions")
		p.all(e, "old_part", oldRole, "new_part", newRole, "interchange", interchangeRole, "from", fromRole, "note", noteRole)
	}
	if modelled {
		p.models(configured)
	}
	if s.has(presetRole) && modelled {
		p.presets(configured)
	}
	if s.has(quantityRole) && s.has(partRole) {
		e := p.entry("stock")
		p.orFill(e, "location", locationRole, "where the stock lies")
		p.all(e, "part_number", partRole, "revision", revisionRole)
		p.orFill(e, "condition", conditionRole, "new, refurbished or used")
		p.all(e, "quantity", quantityRole)
	}
}

// presets adds parts that are supplied set for a model.
func (p *proposal) presets(configured bool) {
	s := p.sampled
	var keys []string
	if c := s.roleOf(presetRole); c.empty > 0 && c.name != "" {
		keys = []string{"only_with: " + scalar(c.name)}
	}
	e := p.entry("boards", keys...)
	p.take(e, "part_number", presetRole)
	if configured {
		name, _ := p.familyName()
		e.constant("family", name, "")
	}
	e = p.entry("presets", keys...)
	p.take(e, "part_number", presetRole)
	p.key(e)
}

// all adds columns of a file that the table has, each with its role.
func (p *proposal) all(e *proposed, pairs ...any) {
	for i := 0; i < len(pairs); i += 2 {
		column, _ := pairs[i].(string)
		r, _ := pairs[i+1].(role)
		p.take(e, column, r)
	}
}

// orFill adds a column, or leaves it to a person.
func (p *proposal) orFill(e *proposed, column string, r role, comment string) {
	if !p.take(e, column, r) {
		e.constant(column, toFill, "unknown: "+comment)
	}
}

func (p *proposal) familyName() (name, comment string) {
	s := p.sampled
	switch {
	case s.family != nil:
		return s.family.Name, "likely: the catalogue has a family with these symbols and this many"
	case s.asked.Family != "":
		return s.asked.Family, ""
	}
	return toFill, ""
}

// families adds the family that the table is about, as far as the table shows it.
func (p *proposal) families() {
	s := p.sampled
	e := p.entry("families")
	name, comment := p.familyName()
	e.constant("family", name, comment)
	symbols, length := s.codeShown()
	if length > 0 {
		e.constant("selector", strings.Join(symbols, " "), "unsure: the symbols that the table uses; in dial order, with those it does not")
		e.constant("code_length", fmt.Sprint(length), "likely: as many as the table has")
	} else {
		e.constant("selector", toFill, "the symbols in dial order, with spaces between")
		e.constant("code_length", toFill, "how many symbols a code has")
	}
	names, comment := s.readback(s.inRole(patternRole))
	if len(names) > 0 {
		e.constant("readback", strings.Join(names, " "), comment)
	} else if s.has(patternRole) {
		e.constant("readback", toFill, "the read-back points in their order, with spaces between")
	}
}

// boards adds the boards and what is recorded of their revisions.
func (p *proposal) boards(configured bool) {
	s := p.sampled
	e := p.entry("boards")
	p.take(e, "part_number", partRole)
	if configured {
		name, _ := p.familyName()
		e.constant("family", name, "")
		e.items[len(e.items)-1].caution = "only where every part of the column is of the family"
	} else {
		p.take(e, "family", familyRole)
	}
	p.all(e, "title", titleRole, "gtin", gtinRole)
	if s.has(revisionRole) || s.has(issueRole) {
		c := s.roleOf(revisionRole)
		if c == nil {
			c = s.roleOf(issueRole)
		}
		r := p.entry("revisions")
		if m := c.partAndRevision(); m != nil && m.lacking || c.empty > 0 {
			r.keys = []string{"may_lack: revision"}
		}
		p.take(r, "part_number", partRole)
		p.revision(r)
		p.all(r, "issue", issueRole)
		if !s.has(modelRole) {
			p.all(r, "options", optionsRole, "stop", stopRole)
		}
	}
}

// revision adds the revision of a part: its own column, or the name of its issue.
func (p *proposal) revision(e *proposed) {
	s := p.sampled
	if p.take(e, "revision", revisionRole) {
		return
	}
	if c := s.roleOf(issueRole); c != nil && c.name != "" {
		e.items = append(e.items, item{column: "revision", value: fmt.Sprintf("{template: %s}", scalar("issue {"+c.name+"}")),
			comment: "likely: the table names no revision but by its issue"})
	}
}

// models adds the models with their builds, loads and configurations.
func (p *proposal) models(configured bool) {
	s := p.sampled
	several := s.severalBuilds()
	e := p.entry("models")
	p.key(e)
	p.all(e, "kind", kindRole)
	if !several {
		p.all(e, "made_from", fromRole, "made_to", toRole)
	}
	p.all(e, "volts", voltsRole, "hertz", hertzRole, "class", classRole)
	if s.has(partRole, serialFromRole, serialToRole, optionsRole) {
		p.builds(several)
	}
	if s.has(wattsRole, ampsRole, ohmsRole, ohmsLowRole, ohmsHighRole) {
		p.loads()
	}
	if configured {
		e := p.entry("configurations")
		name, comment := p.familyName()
		e.constant("family", name, comment)
		p.key(e)
		p.code(e)
		p.pattern(e)
		p.all(e, "source", sourceRole)
	}
}

// key adds the columns by which a model is known.
func (p *proposal) key(e *proposed) {
	p.orFill(e, "brand", brandRole, "no column says it")
	p.all(e, "model", modelRole, "variant", variantRole)
}

// severalBuilds reports whether a model has several rows that say different parts, dates or
// serial numbers.
func (s *sampled) severalBuilds() bool {
	text := func(row table.Record, roles ...role) string {
		var all []string
		for _, r := range roles {
			if c := s.roleOf(r); c != nil {
				all = append(all, row.Cell(c.at))
			}
		}
		return strings.Join(all, "\x1f")
	}
	said, above := map[string]string{}, ""
	for _, row := range s.body {
		model := text(row, modelRole)
		if model == "" {
			continue
		}
		if brand := text(row, brandRole); brand != "" {
			above = brand
		}
		key := above + "\x1f" + model + "\x1f" + text(row, variantRole)
		build := text(row, partRole, fromRole, toRole, serialFromRole, serialToRole)
		if before, ok := said[key]; ok && before != build {
			return true
		}
		said[key] = build
	}
	return false
}

func (p *proposal) builds(several bool) {
	s := p.sampled
	e := p.entry("builds")
	p.key(e)
	part := s.roleOf(partRole)
	switch {
	case several && part != nil && part.partAndRevision() == nil:
		e.items = append(e.items, item{column: "build", value: "{" + part.source() + "}", comment: "likely: models have several builds; each is named for its board"})
	case several:
		e.constant("build", toFill, "models have several builds; say how each is named")
	default:
		e.constant("build", "all", "likely: every model has one")
	}
	p.all(e, "made_from", fromRole, "made_to", toRole, "serial_from", serialFromRole, "serial_to", serialToRole)
	if p.take(e, "part_number", partRole) {
		e.items[len(e.items)-1].caution = "it is taken for the factory's board of the model: leave the entry out where it is only one that serves"
	}
	if s.has(revisionRole, issueRole) && part != nil {
		p.revision(e)
	}
	p.options(e)
	p.all(e, "source", sourceRole)
}

// options adds what a build needs: one column with words, or a column an option.
func (p *proposal) options(e *proposed) {
	all := p.sampled.inRole(optionsRole)
	if len(all) < 2 {
		p.take(e, "needs", optionsRole)
		return
	}
	var values []string
	empty := false
	for _, c := range all {
		p.used[c] = true
		values = append(values, c.values...)
		empty = empty || c.empty > 0
	}
	e.items = append(e.items, item{column: "needs", value: "{" + sources(all) + ", crosses: {" + crossWords(values, empty) + "}}",
		comment: all[0].sure + ": " + all[0].why + "; the options are called as their headers"})
}

// crossWords returns what crosses mean.
func crossWords(values []string, empty bool) string {
	var yes, no []string
	for _, v := range distinct(values) {
		if stateOf(v) == standin.ShownWord(standin.ShowsUnlit) {
			no = append(no, v)
		} else {
			yes = append(yes, v)
		}
	}
	var words []string
	if len(yes) > 0 {
		words = append(words, "yes: "+list(yes))
	}
	if len(no) > 0 {
		words = append(words, "no: "+list(no))
	}
	if empty {
		words = append(words, `empty: "no"`)
	}
	return strings.Join(words, ", ")
}

// loads adds what the circuits of a model draw.
func (p *proposal) loads() {
	s := p.sampled
	columns := []role{wattsRole, ampsRole, ohmsLowRole, ohmsHighRole}
	var there []*column
	for _, r := range columns {
		if c := s.roleOf(r); c != nil {
			there = append(there, c)
		}
	}
	e := p.entry("loads")
	if len(there) == 1 && there[0].name != "" && there[0].empty > 0 && !s.continued(there[0]) {
		e.keys = []string{"only_with: " + scalar(there[0].name)}
	}
	p.key(e)
	heats := slices.ContainsFunc(there, func(c *column) bool { return c.says.heats })
	if !p.take(e, "circuit", circuitRole) {
		if heats {
			e.constant("circuit", "heater", "likely: the header speaks of heating")
		} else {
			e.constant("circuit", toFill, "which circuit it is, such as heater or motor")
		}
	}
	p.all(e, "watts", wattsRole)
	if !p.take(e, "element", elementRole) && heats && !s.has(circuitRole) {
		e.constant("element", "heating", "likely: the header speaks of heating")
	}
	p.all(e, "amps", ampsRole, "ohms_low", ohmsLowRole, "ohms_high", ohmsHighRole)
	if c := s.roleOf(ohmsRole); c != nil {
		p.take(e, "ohms_low", ohmsRole)
		p.take(e, "ohms_high", ohmsRole)
	}
}

// code adds the code: one column, a column a place, or a column a symbol.
func (p *proposal) code(e *proposed) {
	all := p.sampled.inRole(codeRole)
	if len(all) == 0 {
		return
	}
	for _, c := range all {
		p.used[c] = true
	}
	i := item{column: "code", comment: all[0].sure + ": " + all[0].why}
	switch _, places := p.sampled.places(all); {
	case len(all) == 1:
		i.value = "{" + all[0].source()
		if separator, length := all[0].codeParts(); length > 1 && separator != "" && separator != " " {
			i.value += ", list: " + list([]string{separator})
		}
		i.value += "}"
	case places:
		i.value = "{" + sources(all) + `, crosses: {empty: "no", place: true}}`
	default:
		i.value = "{" + sources(all) + "}"
	}
	e.items = append(e.items, i)
}

// pattern adds the pattern: one column, a column a point, or a row a point.
func (p *proposal) pattern(e *proposed) {
	s := p.sampled
	all := s.inRole(patternRole)
	if s.found.pivot != nil {
		state := s.at(s.found.pivot.value)
		i := item{column: "pattern", comment: state.sure + ": " + state.why, block: []string{"columns: " + list(s.found.pivot.names)}}
		i.block = append(i.block, tickLines(s.states(), false, false)...)
		e.items = append(e.items, i)
		return
	}
	if len(all) == 0 {
		return
	}
	var values []string
	empty, unlit := 0, false
	for _, c := range all {
		p.used[c] = true
		values = append(values, c.values...)
		empty += c.empty
		unlit = unlit || slices.ContainsFunc(c.values, func(v string) bool { return stateOf(v) == standin.ShownWord(standin.ShowsUnlit) })
	}
	i := item{column: "pattern", comment: all[0].sure + ": " + all[0].why}
	signs := []string(nil)
	if len(all) == 1 {
		signs = all[0].lamps()
		values = append(values, signs...)
	}
	if len(all) == 1 && (all[0].wholePatterns() || signs == nil) {
		i.value = "{" + all[0].source() + "}"
	} else {
		i.block = append([]string{sources(all)}, tickLines(values, empty > 0, !unlit)...)
	}
	e.items = append(e.items, i)
}

// states returns what the rows of a pivot say, of all rows.
func (s *sampled) states() []string { return s.found.pivot.states }

// wholePatterns reports whether each cell has a pattern as a bundle has it: of lamps, or
// with digits beside them.
func (c *column) wholePatterns() bool {
	if c.share(func(v string) bool { return strings.Trim(v, "10f-") == "" }) == 1 {
		return true
	}
	digits := c.share(func(v string) bool { return strings.ContainsAny(v, "23456789") }) > 0
	return digits && c.share(func(v string) bool { return len(v) == len(c.values[0]) && strings.Trim(v, "0123456789f-") == "" }) == 1
}
