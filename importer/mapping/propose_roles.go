package mapping

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"standin"
	"standin/importer/table"
)

// How sure a proposal is.
const (
	surely = "sure"
	likely = "likely"
	unsure = "unsure"
)

// catalogued are the roles whose values a catalogue may have, and where it has them.
var catalogued = []struct {
	role         role
	file, column string
}{
	{brandRole, "models", "brand"}, {modelRole, "models", "model"}, {variantRole, "models", "variant"}, {kindRole, "models", "kind"},
	{partRole, "boards", "part_number"}, {markingRole, "markings", "marking"}, {familyRole, "families", "family"},
	{circuitRole, "loads", "circuit"}, {layoutRole, "layouts", "layout"}, {locationRole, "stock", "location"}, {sourceRole, "sources", "source"},
}

// ask finds out which values of the columns the catalogue has.
func (s *sampled) ask(ctx context.Context) error {
	if s.asked.Vocabulary == nil {
		return nil
	}
	for _, c := range s.columns {
		values := slices.DeleteFunc(c.distinct(), isTick)
		values = values[:min(len(values), mostAsked)]
		if len(values) == 0 || c.part("number", isNumber) == 1 && c.part("symbol", isSymbol) == 1 {
			continue
		}
		c.known = map[role]int{}
		for _, k := range catalogued {
			asked := values
			if k.role == partRole || k.role == modelRole {
				asked = distinct(append(slices.Clone(values), firstOf(values)...))
			}
			n, err := s.asked.Vocabulary.Known(ctx, k.file, k.column, asked)
			if err != nil {
				return err
			}
			c.known[k.role] = min(n, len(values))
		}
		if err := s.askForCode(ctx, c); err != nil {
			return err
		}
	}
	return nil
}

// askForCode finds out whether a column holds codes that a family can have.
func (s *sampled) askForCode(ctx context.Context, c *column) error {
	separator, length := c.codeParts()
	if separator == "" || length < 2 || c.areDates() {
		return nil
	}
	var symbols []string
	for _, v := range c.distinct() {
		for _, symbol := range strings.Split(v, separator) {
			symbols = append(symbols, table.Trim(symbol))
		}
	}
	families, err := s.asked.Vocabulary.Families(ctx, inDialOrder(symbols), length)
	if len(families) > 0 {
		c.known[codeRole] = min(len(c.distinct()), mostAsked)
	}
	return err
}

// mostAsked is how many values of a column a catalogue is asked for.
const mostAsked = 200

// firstOf returns the first of what stands in each of several cells.
func firstOf(values []string) []string {
	var all []string
	for _, v := range values {
		if first, _, found := strings.Cut(v, "/"); found {
			all = append(all, table.Trim(first))
		}
		if first, _, found := strings.Cut(v, " "); found {
			all = append(all, first)
		}
	}
	return all
}

// recognise takes each column for what its header and its values say.
func (s *sampled) recognise() {
	s.spread()
	if p := s.found.pivot; p != nil {
		for _, c := range s.columns {
			switch c.at {
			case p.name:
				c.become(lampRole, likely, fmt.Sprintf("its %d values come again and again, a row each", len(p.names)))
			case p.value:
				c.become(stateRole, likely, "its values say what lamps show")
			}
		}
	}
	s.assign(s.claims())
	if part := s.roleOf(partRole); part != nil && s.has(oldRole) && s.has(newRole) && !s.has(quantityRole, modelRole) {
		part.become(noRole, "", "") // the parts are the old and the new; this is what they are for
		part.says.roles = map[role]float64{}
	}
	s.eliminate()
	for _, c := range s.columns {
		if c.role == noRole && c.why == "" {
			c.why = c.hint()
		}
	}
}

// eliminate looks among the columns that are left for what a table like this has: models
// where it has brands or what else is said of models, and brands where it has models.
func (s *sampled) eliminate() {
	ofModels := s.has(brandRole, kindRole, fromRole, toRole, serialFromRole, voltsRole, codeRole, patternRole) || s.found.pivot != nil
	if !s.has(modelRole) && ofModels && !s.has(oldRole, quantityRole, layoutRole) || s.has(brandRole, kindRole) && !s.has(modelRole) {
		s.left(modelRole, func(c *column) bool {
			return c.part("model", isModel) > 0.6 && float64(len(c.distinct())) > 0.5*float64(min(len(c.values), mostCompared)) && c.part("price", isPrice) == 0 && !c.inStep()
		})
	}
	if s.has(modelRole) && !s.has(brandRole) && len(s.found.sections) == 0 {
		s.left(brandRole, func(c *column) bool {
			return c.part("name", isName) == 1 && len(c.distinct()) < len(c.values) && c.part("tick", isTick) == 0
		})
	}
	if s.has(modelRole) && !s.has(partRole, oldRole) {
		s.left(partRole, func(c *column) bool { return c.part("plain part", isPlainPart) > 0.8 && !c.areDates() })
	}
}

// left gives a role to the first column without one that looks it.
func (s *sampled) left(r role, looks func(*column) bool) {
	for _, c := range s.columns {
		if c.role == noRole && len(c.values) > 1 && looks(c) {
			if _, score := bestRole(c.says); score < 0.85 {
				c.become(r, unsure, "the header does not say it, but no other column looks like it")
				return
			}
		}
	}
}

func (c *column) become(r role, sure, why string) { c.role, c.sure, c.why = r, sure, why }

// hint says of a column that is not used what its header or its values contradict.
func (c *column) hint() string {
	r, score := bestRole(c.says)
	switch {
	case len(c.values) == 0:
		return "it is empty"
	case score >= 0.6 && c.agrees(r) < 0:
		return fmt.Sprintf("its header may mean %s, but its values do not look it", r)
	case score >= 0.6:
		return fmt.Sprintf("it may be %s too", r)
	}
	return ""
}

// claim is a role that a column may have.
type claim struct {
	column *column
	role   role
	score  float64
	sure   string
	why    string
}

// claims returns what the columns may be, best first.
func (s *sampled) claims() []claim {
	var all []claim
	headless := len(s.found.header) == 0
	for _, c := range s.columns {
		if c.role != noRole {
			continue
		}
		candidates := slices.Collect(maps.Keys(c.says.roles))
		for _, r := range byValues {
			if !slices.Contains(candidates, r) {
				candidates = append(candidates, r)
			}
		}
		for r := range c.known {
			if !slices.Contains(candidates, r) {
				candidates = append(candidates, r)
			}
		}
		slices.Sort(candidates)
		for _, r := range candidates {
			if x := s.claim(c, r, headless); x.score >= leastClaim {
				all = append(all, x)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b claim) int { return cmp.Compare(b.score, a.score) })
	return all
}

// leastClaim is the least score with which a column is taken for something.
const leastClaim = 0.4

// byValues are roles that values may show without a header.
var byValues = []role{unusedRole, gtinRole, kindRole, madeRole, fromRole, toRole, voltsRole, hertzRole, elementRole, conditionRole, interchangeRole, patternRole,
	brandRole, modelRole, partRole, codeRole, serialRole}

// claim weighs one role of a column.
func (s *sampled) claim(c *column, r role, headless bool) claim {
	x := claim{column: c, role: r}
	named, agrees := c.says.roles[r]+s.beside(c, r), c.agrees(r)
	known, of := c.known[r], min(len(c.distinct()), mostAsked)
	const leastUnused = 0.7
	if r == lampRole || r == stateRole || r == unusedRole && named < leastUnused && agrees < 1 {
		return x // the first two are found together, with a pivot
	}
	switch {
	case len(c.values) == 0 && r != unusedRole:
		if named > 0.75 {
			x.score, x.sure, x.why = named-0.3, unsure, "the header says so; it is empty"
		}
	case known > 1 && known*3 >= of && agrees >= -0.5, known == 1 && of < 4 && agrees >= 0:
		x.score = 1 + named/2 + float64(known)/float64(of)
		x.sure, x.why = surely, fmt.Sprintf("the catalogue has %d of its %d values", known, of)
		if r == codeRole {
			x.why = "the catalogue has a family with these symbols and as many in a code"
		}
	case agrees <= -0.7 && named < 0.85:
	case agrees <= -0.7:
		x.score, x.sure, x.why = named-0.45, unsure, "the header says so, its values do not look it"
	case named > 0:
		x.score = named + 0.5*agrees
		switch {
		case named >= 0.85 && agrees > 0.1:
			x.sure, x.why = surely, "the header and the values say so"
		case named >= 0.85:
			x.sure, x.why = likely, "the header says so"
		case agrees > 0.1:
			x.sure, x.why = likely, "a word of the header says so, and the values agree"
		default:
			x.sure, x.why = unsure, "a word of the header may mean it"
		}
	default:
		x.score, x.sure, x.why = s.byValues(c, r, agrees, headless)
	}
	return x
}

// beside returns how much more a header names a role for what stands to the left of it: a
// version behind a model is a variant, one behind a part a revision.
func (s *sampled) beside(c *column, r role) float64 {
	const more = 0.05
	left, _ := bestRole(s.at(c.at - 1).says)
	if c.says.roles[r] > 0 && (r == variantRole && left == modelRole || r == revisionRole && left == partRole) {
		return more
	}
	return 0
}

// byValues weighs a role that the header does not name.
func (s *sampled) byValues(c *column, r role, agrees float64, headless bool) (score float64, sure, why string) {
	many := float64(len(c.distinct())) / float64(max(1, len(c.values)))
	if best, named := bestRole(c.says); best != noRole && named > 0.6 && c.agrees(best) > -0.7 && r != gtinRole {
		return 0, "", "" // the header says otherwise
	}
	switch {
	case r == gtinRole && agrees == 1 && len(c.values) > 2:
		return 0.95, likely, "every value has the check digit of a GTIN"
	case r == unusedRole && agrees == 1:
		return 0.9, surely, "its values are prices"
	case r == kindRole && agrees == 1:
		return 0.9, likely, "its values are kinds of appliance"
	case r == elementRole && agrees == 1, r == conditionRole && agrees == 1, r == interchangeRole && agrees == 1:
		return 0.7, likely, "its values are words for it"
	case r == madeRole && agrees > 0.8:
		return 0.75, likely, "its values are spans of dates"
	case r == fromRole && agrees > 0.5:
		return 0.7, unsure, "its values are dates"
	case r == toRole && agrees > 0.5 && s.afterDates(c):
		return 0.72, likely, "its values are dates, never before those of another column"
	case r == hertzRole && agrees > 0.5:
		return 0.8, likely, "its values are 50 or 60"
	case r == voltsRole && agrees > 0.5 && c.part("mains", isMains) > 0.8:
		return 0.8, likely, "its values are mains voltages"
	case r == patternRole && agrees > 0.5 && !c.alwaysDigits():
		return 0.7, likely, "its values are patterns of lamps"
	case !headless:
		return 0, "", ""
	case r == brandRole && agrees > 0.3 && many < 0.7:
		return 0.6 - 0.01*float64(c.at), likely, "few names that come again, as those of makers do"
	case r == modelRole && agrees > 0.3 && many > 0.6 && c.part("plain part", isPlainPart) < 0.8:
		return 0.6 - 0.01*float64(c.at), likely, "letters and digits, nearly every value another"
	case r == partRole && agrees > 0 && c.part("plain part", isPlainPart) > 0.8:
		return 0.55, likely, "they look like numbers of parts"
	case r == codeRole && agrees > 0 && c.part("number", isNumber) < 1:
		return 0.45, unsure, "short symbols, always as many"
	}
	return 0, "", ""
}

var plainPart = regexp.MustCompile(`^[A-Z]{0,4}[-./ ]?\d[\dA-Z]*([-./ ][\dA-Z]+)*$`)

func isPlainPart(text string) bool {
	return plainPart.MatchString(text) && len(text) > 4 && !strings.Contains(text, " ")
}

// isMains reports a voltage with its unit, or one that mains have (IEC 60038).
func isMains(text string) bool {
	text = strings.TrimSpace(text)
	return strings.ContainsAny(text, "Vv") || slices.Contains([]string{"110", "115", "120", "127", "220", "230", "240", "400", "220-240", "110-120", "220/240", "220-230"}, text)
}

// alwaysDigits reports values that are whole numbers other than 0 and 1 too.
func (c *column) alwaysDigits() bool {
	return c.part("zeros and ones", func(v string) bool { return strings.Trim(v, "01") == "" }) == 1 && c.part("length", func(v string) bool { return len(v) == len(c.values[0]) }) < 1
}

// afterDates reports whether a column has dates that are never before those of one to its
// left.
func (s *sampled) afterDates(c *column) bool {
	read := func(c *column, row int) (standin.Span, bool) {
		forms, _ := c.forms()
		var all []dateForm
		for _, form := range forms {
			all = append(all, parsedForms[form])
		}
		text, f := localDate(all, s.body[row].Cell(c.at))
		if f != nil {
			return standin.Span{}, false
		}
		span, err := standin.ParseDate(text)
		return span, err == nil
	}
	for _, other := range s.columns {
		if other.at >= c.at || !other.areDates() {
			continue
		}
		later, earlier := 0, 0
		for _, row := range c.rows[:min(len(c.rows), mostCompared)] {
			from, ok := read(other, row)
			to, also := read(c, row)
			switch {
			case !ok || !also:
			case to.To.V < from.From.V:
				earlier++
			default:
				later++
			}
		}
		if later > 0 && earlier*10 <= later {
			return true
		}
	}
	return false
}

// assign gives each column the best role that is left, and each role one column.
func (s *sampled) assign(claims []claim) {
	held := map[role]*column{}
	for _, x := range claims {
		before := held[x.role]
		switch {
		case x.column.role != noRole:
		case x.role == unusedRole:
			x.column.role, x.column.sure = unusedRole, x.sure
			x.column.why = "a price, a number of a line or the like"
		case before == nil && !s.excluded(held, x.role):
			held[x.role] = x.column
			x.column.become(x.role, x.sure, x.why)
		}
	}
}

// excluded reports whether a role says what another that is taken says too.
func (s *sampled) excluded(held map[role]*column, r role) bool {
	switch r {
	case madeRole:
		return held[fromRole] != nil
	case fromRole, toRole:
		return held[madeRole] != nil
	case partRole:
		return held[oldRole] != nil && held[newRole] != nil
	case serialRole:
		return held[serialFromRole] != nil
	case serialFromRole, serialToRole:
		return held[serialRole] != nil
	case codeRole, patternRole, optionsRole:
		return len(s.inRole(r)) > 0
	}
	return false
}

// inRole returns the columns proposed for a role.
func (s *sampled) inRole(r role) []*column {
	var all []*column
	for _, c := range s.columns {
		if c.role == r {
			all = append(all, c)
		}
	}
	return all
}

// spread finds codes, patterns and options over several columns: columns side by side with
// nothing but ticks, or nothing but short symbols.
func (s *sampled) spread() {
	for i := 0; i < len(s.columns); {
		j := i
		for j < len(s.columns) && s.columns[j].spreads() && s.columns[j].at == s.columns[i].at+j-i && (j == i || s.together(s.columns[j-1], s.columns[j])) {
			j++
		}
		run := s.columns[i:j]
		if len(run) > 1 {
			s.takeRun(run)
		}
		i = max(j, i+1)
	}
}

// spreads reports whether a column may be one of several that say something together.
func (c *column) spreads() bool {
	if len(c.values) == 0 {
		return c.ofGroup() != noRole
	}
	if c.part("tick", isTick) < 1 && c.part("symbol", isSymbol) < 1 {
		return false
	}
	best, score := bestRole(c.says)
	return score < 0.7 || groupRoles[best] || c.ofGroup() != noRole && c.agrees(best) < 0
}

// groupRoles are roles that columns have together.
var groupRoles = map[role]bool{codeRole: true, patternRole: true, lampRole: true, optionsRole: true, keyRole: false}

// ofGroup returns the role of a group that the header names, noRole where it names none.
func (c *column) ofGroup() role {
	best, most := noRole, leastNamed
	for _, r := range []role{codeRole, optionsRole, patternRole, lampRole} {
		if c.says.roles[r] > most {
			best, most = r, c.says.roles[r]
		}
	}
	if best == lampRole {
		return patternRole
	}
	return best
}

// together reports whether two neighbours are of one group: under the same caption, or
// both without one.
func (s *sampled) together(a, b *column) bool {
	above := func(c *column) string {
		if c.at < len(s.found.above) {
			return s.found.above[c.at]
		}
		return ""
	}
	if above(a) != above(b) {
		return false
	}
	if ga, gb := a.ofGroup(), b.ofGroup(); ga != gb && ga != noRole && gb != noRole {
		return false
	}
	return a.signs() == b.signs() || len(a.values) == 0 || len(b.values) == 0 || a.ofGroup() != noRole && a.ofGroup() == b.ofGroup()
}

// signs reports values that are ticks rather than symbols of a code.
func (c *column) signs() bool {
	return c.part("tick", isTick) == 1 && (c.part("allDigits", table.AllDigits) < 1 || c.empty > 0)
}

// takeRun takes columns that belong together for a code, a pattern or options.
func (s *sampled) takeRun(run []*column) {
	group, signs, shown, empty := noRole, true, false, 0
	for _, c := range run {
		if g := c.ofGroup(); g != noRole {
			group = g
		}
		signs = signs && (c.part("tick", isTick) == 1 || len(c.values) == 0)
		shown = shown || c.part("shown", func(v string) bool { return meaning("shown", v) != "" }) > 0 || len(c.distinct()) > 2
		empty += c.empty
	}
	n, sure := len(run), likely
	if group != noRole {
		sure = surely
	}
	_, places := s.places(run)
	binary := signs && run[0].part("allDigits", table.AllDigits) == 1 && empty == 0
	switch {
	case group == optionsRole && signs:
		s.become(run, optionsRole, sure, fmt.Sprintf("%d columns of ticks under the word for options", n))
	case group == patternRole && signs:
		s.become(run, patternRole, sure, fmt.Sprintf("%d columns side by side hold nothing but ticks", n))
	case group == codeRole && places:
		s.become(run, codeRole, sure, fmt.Sprintf("%d columns side by side hold the places of their symbols", n))
	case group == codeRole && (empty == 0 || signs):
		s.become(run, codeRole, sure, fmt.Sprintf("%d columns side by side hold nothing but short symbols", n))
	case group != noRole:
	case signs && !binary && (shown || len(s.found.own) == 0 || !s.namedByWords(run)):
		s.become(run, patternRole, likely, fmt.Sprintf("%d columns side by side hold nothing but ticks", n))
	case signs && !binary:
		s.become(run, optionsRole, unsure, fmt.Sprintf("%d columns side by side hold nothing but crosses", n))
	case empty == 0:
		s.become(run, codeRole, likely, fmt.Sprintf("%d columns side by side hold nothing but short symbols", n))
	}
}

func (s *sampled) become(run []*column, r role, sure, why string) {
	if len(s.inRole(r)) > 0 {
		return // there is another group already
	}
	for _, c := range run {
		c.become(r, sure, why)
	}
}

// namedByWords reports headers that are words, as those of options are, not L1 and L2.
func (s *sampled) namedByWords(run []*column) bool {
	return !slices.ContainsFunc(run, func(c *column) bool { return hasDigits(c.header) || len([]rune(c.header)) < 3 })
}

// places reports whether columns hold, in each row, the numbers from 1 on, each once: the
// places of a code at which the symbols in their headers stand. length is how many.
func (s *sampled) places(run []*column) (length int, ok bool) {
	for _, row := range s.body {
		seen := 0
		bits := 0
		for _, c := range run {
			text := row.Cell(c.at)
			if text == "" {
				continue
			}
			n, err := strconv.Atoi(text)
			if err != nil || n < 1 || n > len(run) || bits&(1<<n) != 0 {
				return 0, false
			}
			bits |= 1 << n
			seen++
		}
		if bits != 1<<(seen+1)-2 {
			return 0, false
		}
		length = max(length, seen)
	}
	return length, length > 0 && length < len(run) && run[0].header != ""
}

// codeShown returns the symbols that the codes of the table use, and how many each has; 0
// where that cannot be told.
func (s *sampled) codeShown() (symbols []string, length int) {
	columns := s.inRole(codeRole)
	switch {
	case len(columns) == 0:
		return nil, 0
	case len(columns) == 1:
		separator, length := columns[0].codeParts()
		for _, v := range columns[0].distinct() {
			for _, symbol := range strings.Split(v, separator) {
				symbols = append(symbols, table.Trim(symbol))
			}
		}
		if length == 0 {
			return nil, 0
		}
		return inDialOrder(symbols), length
	}
	if n, ok := s.places(columns); ok {
		for _, c := range columns {
			symbols = append(symbols, strings.Join(strings.Fields(c.header), ""))
		}
		return symbols, n
	}
	for _, c := range columns {
		symbols = append(symbols, c.values...)
	}
	return inDialOrder(symbols), len(columns)
}

// inDialOrder returns symbols, each once: numbers by their size, then the others.
func inDialOrder(symbols []string) []string {
	all := distinct(symbols)
	slices.SortFunc(all, func(a, b string) int {
		x, errX := strconv.Atoi(a)
		y, errY := strconv.Atoi(b)
		switch {
		case errX == nil && errY == nil:
			return cmp.Compare(x, y)
		case errX == nil:
			return -1
		case errY == nil:
			return 1
		}
		return strings.Compare(a, b)
	})
	return all
}

// findFamily asks the catalogue whose codes those of the table can be.
func (s *sampled) findFamily(ctx context.Context) error {
	symbols, length := s.codeShown()
	if s.asked.Vocabulary == nil || length == 0 {
		return nil
	}
	families, err := s.asked.Vocabulary.Families(ctx, symbols, length)
	if err != nil {
		return err
	}
	for _, f := range families {
		if f.Name == s.asked.Family || s.asked.Family == "" && len(families) == 1 {
			s.family = &f
		}
	}
	return nil
}
