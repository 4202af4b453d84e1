package mapping

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"standin"
	"standin/importer/table"
)

// column is one column of a table that a mapping is proposed for.
type column struct {
	at     int
	name   string // its header, as a mapping would name it; empty where it must be named by its letters
	header string
	says   headerSays
	values []string // those that are not empty
	rows   []int    // of each value, counted from 0
	kinds  []table.CellKind
	empty  int

	role  role
	sure  string // sure, likely or unsure
	why   string
	known map[role]int // how many of its values the catalogue has, by what they are there
	memo  map[string]float64
	dates *bool // whether they are dates; nil: not found out yet
}

// mostCompared is how many different values of a column are looked at.
const mostCompared = 300

// share returns the share of the values, each once, for which a condition holds.
func (c *column) share(holds func(string) bool) float64 {
	values := c.distinct()
	n := 0
	for _, v := range values {
		if holds(v) {
			n++
		}
	}
	return float64(n) / float64(max(1, len(values)))
}

// part returns such a share of a condition that has a name, which is found out once.
func (c *column) part(name string, holds func(string) bool) float64 {
	if x, ok := c.memo[name]; ok {
		return x
	}
	if c.memo == nil {
		c.memo = map[string]float64{}
	}
	c.memo[name] = c.share(holds)
	return c.memo[name]
}

func (c *column) distinct() []string {
	all := distinct(c.values)
	return all[:min(len(all), mostCompared)]
}

// distinct returns values, each once, in order.
func distinct(values []string) []string {
	all := slices.Clone(values)
	slices.Sort(all)
	return slices.Compact(all)
}

func hasDigits(text string) bool { return strings.ContainsAny(text, "0123456789") }

func hasLetters(text string) bool { return strings.ContainsFunc(text, unicode.IsLetter) }

func isTick(text string) bool { return stateOf(text) != "" }

func isSymbol(text string) bool {
	return len([]rune(text)) <= 2 && !strings.ContainsAny(text, " \t\n")
}

// usualTicks are the usual meanings of signs; words are in words.yaml.
var usualTicks = []struct {
	shows byte
	ticks []string
}{
	{standin.ShowsLit, []string{"x", "✓", "✔", "●", "■", "•", "y", "1", "true", "☑", "◉"}},
	{standin.ShowsUnlit, []string{"-", "–", "—", "○", "□", ".", "·", "n", "0", "false", "☐"}},
	{standin.ShowsFlashing, []string{"f", "fl", "*", "◐", "o", "◌", "~", "bl"}},
	{standin.ShowsEither, []string{"?", "x/-"}},
}

// stateOf returns the usual meaning of a tick, "" for what is not a tick.
func stateOf(tick string) string {
	for _, u := range usualTicks {
		if slices.Contains(u.ticks, fold(tick)) {
			return standin.ShownWord(u.shows)
		}
	}
	return meaning("shown", tick)
}

// Regular expressions of what cells look like.
var (
	numberLike  = regexp.MustCompile(`^[+-]?\d{1,3}(?:[.,' ]\d{3})*(?:[.,]\d+)?$|^[+-]?\d+(?:[.,]\d+)?$`)
	withAUnit   = regexp.MustCompile(`^([+-]?[\d.,' ]*\d)\s*([\pL"Ω]{1,5}~?)\.?$`)
	unitBehind  = regexp.MustCompile(`\d\s*([[:alpha:]ΩΩ"]{1,5})$`)
	wholeNumber = regexp.MustCompile(`^\d{1,3}(?:[.,' ]?\d{3})*$`)
	voltsLike   = regexp.MustCompile(`^[~≈]?\s*(\d{2,3})(?:\s*[-–/]\s*(\d{2,3}))*\s*V?~?(?:\s?AC)?$`)
	hertzLike   = regexp.MustCompile(`(?i)^(50|60)(\s*[-/]\s*(50|60))?\s*(hz|herz)?$`)
	patternLike = regexp.MustCompile(`^[01fF-]{2,}$`)
	dateToken   = regexp.MustCompile(`'?\d+(?:[./]\d+)*`)
)

func isNumber(text string) bool { return numberLike.MatchString(text) }

// isQuantity reports a number that may have a unit.
func isQuantity(text string) bool {
	if m := withAUnit.FindStringSubmatch(text); m != nil && headerUnits[strings.ToLower(strings.TrimSuffix(m[2], "~"))] {
		return true
	}
	return isNumber(text)
}

func isVolts(text string) bool {
	m := voltsLike.FindStringSubmatch(text)
	if m == nil {
		return false
	}
	volts, _ := strconv.Atoi(m[1])
	return volts >= 12 && volts <= 690
}

// isModel reports what looks like a model's number: letters or digits, digits among them,
// and not much else.
func isModel(text string) bool {
	return hasDigits(text) && len(strings.Fields(text)) <= 8 && !isNumber(strings.ReplaceAll(text, " ", "x")) || hasDigits(text) && table.AllDigits(text) && len(text) > 3
}

// isPrice reports a number with the sign of a currency.
func isPrice(text string) bool {
	return hasDigits(text) && (strings.ContainsAny(text, "€$£") || currency.MatchString(text))
}

var currency = regexp.MustCompile(`(?i)\d\s*(EUR|zł|PLN|USD|GBP|CHF)$|^(EUR|PLN|USD|GBP|CHF)\s*\d`)

// isName reports letters alone, as names of makers have.
func isName(text string) bool {
	return hasLetters(text) && !hasDigits(text) && len([]rune(text)) > 1 && len(strings.Fields(text)) <= 4
}

// isPart reports what looks like the number of a part: digits, no blanks but before a
// revision.
func isPart(text string) bool {
	first, _, _ := strings.Cut(text, " ")
	return hasDigits(first) && len(first) > 3 || hasDigits(text) && len(text) > 4 && len(strings.Fields(text)) <= 5 && !isPrice(text)
}

// usualForms are the forms of dates that are looked for; of two that read as many the
// first counts.
var usualForms = []string{"DD.MM.YYYY", "D.M.YYYY", "MM.YYYY", "M.YYYY", "MM/YYYY", "M/YYYY", "MM-YYYY", "DD/MM/YYYY", "MM/DD/YYYY",
	"D/M/YYYY", "M/D/YYYY", "DD-MM-YYYY", "YYYY/MM/DD", "YYYY/MM", "YYYY.MM.DD", "YYYY.MM", "YYYYMMDD", "WW/YYYY", "WW.YYYY", "YYYY/WW",
	"'YY", "YY", "MM/YY", "M/YY", "MM.YY", "MM-YY", "DD.MM.YY", "D.M.YY", "DD/MM/YY", "WW/YY", "WW.YY", "MMM YYYY", "MMM YY", "MMM-YY",
	"MMM. YYYY", "D MMM YYYY", "D. MMM YYYY"}

// parsedForms are the forms, made once.
var parsedForms = func() map[string]dateForm {
	all := map[string]dateForm{}
	for _, form := range usualForms {
		f, ok := parseDateForm(form)
		if !ok {
			panic("no form of dates: " + form) // it is part of the program
		}
		all[form] = f
	}
	return all
}()

// forms returns the fewest forms that read all the dates.
func (c *column) forms() (forms []string, ok bool) {
	var left []string
	for i, v := range c.values {
		if c.kinds[i] != table.DateCell {
			left = append(left, v)
		}
	}
	return formsOf(left, c.says.week)
}

// formsOf returns the fewest forms that read texts which a bundle does not read as dates.
func formsOf(texts []string, week bool) (forms []string, ok bool) {
	left := slices.DeleteFunc(distinct(texts), isRecent)
	left = left[:min(len(left), mostCompared)]
	for len(left) > 0 {
		best, most := "", 0
		for _, form := range usualForms {
			n := 0
			for _, v := range left {
				if isRecent(parsedForms[form].read(v)) {
					n++
				}
			}
			if week && strings.Contains(form, "W") && n > 0 {
				n += len(left)
			}
			if n > most {
				best, most = form, n
			}
		}
		if best == "" {
			return nil, false
		}
		forms = append(forms, best)
		left = slices.DeleteFunc(left, func(v string) bool { return isRecent(parsedForms[best].read(v)) })
	}
	return forms, true
}

// isRecent reports a date, as a bundle writes it, of a time of which there are appliances.
func isRecent(text string) bool {
	if _, err := standin.ParseDate(text); err != nil {
		return false
	}
	return text >= "1950" && text < "2100"
}

// areDates reports whether all values are dates of few forms.
func (c *column) areDates() bool {
	const mostForms = 3
	if c.dates == nil {
		forms, ok := c.forms()
		bare := c.share(func(v string) bool { return table.AllDigits(v) && len(v) != 4 }) // 123456 is a date in no form
		ok = ok && len(c.values) > 0 && len(forms) <= mostForms && bare < 1
		c.dates = &ok
	}
	return *c.dates
}

// spanForms returns the forms of the dates in spans, and whether all values are spans, of
// which some have two ends or an open one.
func (c *column) spanForms() (forms []string, ok bool) {
	if c.areDates() {
		return nil, false
	}
	var tokens []string
	spans := 0
	values := c.distinct()
	for _, v := range values {
		found := dateToken.FindAllString(apostrophes.Replace(v), -1)
		if len(found) > 1 || len(strings.Fields(v)) > 1 || strings.ContainsAny(v, "-–") {
			spans++
		}
		tokens = append(tokens, found...)
	}
	if spans == 0 || len(tokens) == 0 {
		return nil, false
	}
	if forms, ok = formsOf(tokens, c.says.week); !ok {
		return nil, false
	}
	from := &cell{side: fromSide, column: standin.Column{Kind: standin.FromDate}}
	for _, form := range forms {
		from.dates = append(from.dates, parsedForms[form])
	}
	unread := 0
	for _, v := range values {
		if _, f := from.end(v); f != nil {
			unread++
		}
	}
	return forms, unread*10 <= len(values)
}

// areSerialSpans reports whether values are spans of serial numbers.
func (c *column) areSerialSpans() bool {
	open := &cell{side: fromSide, column: standin.Column{Kind: standin.Text}}
	return c.share(func(v string) bool {
		from, to, f := open.ends(v)
		return f == nil && from != to && hasDigits(from+to) && len(from+to) > 3
	}) > 0.5
}

// inStep reports whether a value follows the other by one, as numbers of lines do.
func (c *column) inStep() bool {
	before := -1
	for i, v := range c.values {
		n, err := strconv.Atoi(strings.TrimSuffix(v, "."))
		if err != nil || i > 0 && n != before+1 {
			return false
		}
		before = n
	}
	return len(c.values) > 2
}

// agrees returns how well the values go with a role: 1 where they can hardly be anything
// else, 0 where they say nothing, below 0 where they contradict it.
func (c *column) agrees(r role) float64 {
	if len(c.values) == 0 {
		return 0
	}
	numeric := func() float64 {
		if c.part("quantity", isQuantity) < 0.8 {
			return -1
		}
		return 0.4
	}
	vocabulary := func(subject string) float64 {
		share := c.part(subject, func(v string) bool { return meaning(subject, v) != "" })
		switch {
		case share >= 0.5:
			return 1
		case c.part("digits", hasDigits) > 0.5:
			return -0.7
		}
		return share
	}
	many := float64(len(c.distinct())) / float64(min(len(c.values), mostCompared))
	switch r {
	case brandRole:
		switch {
		case c.part("digits", hasDigits) > 0.5:
			return -1
		case c.part("name", isName) > 0.9:
			return 0.5
		}
	case modelRole, variantRole:
		switch {
		case c.areDates() && c.part("allDigits", table.AllDigits) < 1, c.part("kind", func(v string) bool { return meaning("kind", v) != "" }) > 0.5:
			return -1
		case c.part("price", isPrice) > 0.5:
			return -1
		case c.part("tick", isTick) == 1, many < 0.2 && len(c.values) > 20:
			return -0.5
		case c.part("model", isModel) > 0.6:
			return 0.4
		case c.part("name", isName) == 1:
			return -0.2
		}
	case kindRole:
		const unknown = -0.4 // kinds of appliance are few; most have words that are known
		if agrees := vocabulary("kind"); agrees != 0 {
			return agrees
		}
		return unknown
	case elementRole:
		return vocabulary("element")
	case circuitRole:
		return max(0, vocabulary("circuit"))
	case conditionRole:
		return vocabulary("condition")
	case interchangeRole:
		return vocabulary("interchange")
	case fromRole, toRole:
		if c.areDates() {
			return 0.8
		}
		return -1
	case madeRole:
		if _, ok := c.spanForms(); ok {
			return 0.9
		}
		if c.areDates() {
			return 0.5
		}
		return -1
	case serialRole, serialFromRole, serialToRole:
		switch {
		case c.areSerialSpans():
			return 0.8
		case c.part("digits", hasDigits) < 0.9:
			return -1
		case c.areDates():
			return -0.5
		}
	case voltsRole:
		if c.part("volts", isVolts) >= 0.8 {
			return 0.6
		}
		return -1
	case hertzRole:
		if c.part("hertz", func(v string) bool { return hertzLike.MatchString(v) }) == 1 {
			return 0.9
		}
		return -1
	case classRole:
		if c.part("class", func(v string) bool { return strings.Trim(v, "I123") == "" }) == 1 {
			return 0.5
		}
		return -1
	case wattsRole, ampsRole, ohmsRole, ohmsLowRole, ohmsHighRole, pitchRole:
		return numeric()
	case quantityRole, waysRole, issueRole:
		if c.part("whole", func(v string) bool { return wholeNumber.MatchString(v) }) < 0.8 {
			return -1
		}
		return 0.4
	case partRole, oldRole, newRole, markingRole, presetRole:
		switch {
		case c.areDates() && c.part("allDigits", table.AllDigits) < 1, c.part("part", isPart) < 0.5, c.inStep():
			return -1
		case c.part("gtin", standin.IsGTIN) == 1:
			return -0.5
		}
		return 0.3
	case gtinRole:
		if c.part("gtin", standin.IsGTIN) == 1 {
			return 1
		}
		return -1
	case titleRole:
		if c.part("letters", hasLetters) < 0.8 {
			return -0.5
		}
		return 0.2
	case unusedRole:
		if c.part("price", isPrice) > 0.8 {
			return 1
		}
	case patternRole:
		switch {
		case c.lamps() != nil:
			return 0.8
		case c.part("pattern", func(v string) bool { return patternLike.MatchString(v) }) == 1:
			return 0.8
		case c.part("tick", isTick) == 1:
			return 0.3
		}
	case stateRole:
		if c.part("tick", isTick) == 1 {
			return 0.8
		}
		return -1
	case codeRole:
		switch {
		case c.areDates() && c.part("allDigits", table.AllDigits) < 1, c.part("gtin", standin.IsGTIN) == 1, c.part("long", func(v string) bool { return len(v) > 40 }) > 0:
			return -1
		case c.codeLength() > 0:
			return 0.3
		case many == 1 && len(c.values) > 4 && c.part("part", isPart) == 1:
			return -0.5
		}
	case optionsRole, circuitsRole:
		if c.part("number", isNumber) == 1 && c.part("tick", isTick) < 1 {
			return -1
		}
	case lampRole:
		if c.part("tick", isTick) == 1 && c.part("allDigits", table.AllDigits) < 1 {
			return -1
		}
	case locationRole, layoutRole, connectorRole, keyRole, revisionRole, familyRole:
		if c.areDates() && c.part("allDigits", table.AllDigits) < 1 {
			return -1
		}
	}
	return 0
}

// codeSeparators may part the symbols of a code in one cell.
var codeSeparators = []string{" ", "-", "/", ".", ",", ";", "–"}

// codeParts returns what parts the symbols of codes in one cell, "" where nothing does, and
// how many symbols each has; 0 where they differ.
func (c *column) codeParts() (separator string, length int) {
	for _, s := range append(codeSeparators, "") {
		length = -1
		for _, v := range c.distinct() {
			parts := strings.Split(v, s)
			short := !slices.ContainsFunc(parts, func(p string) bool { p = table.Trim(p); return !isCodeSymbol(p) })
			if !short || length >= 0 && len(parts) != length || s != "" && len(parts) < 2 {
				length = 0
				break
			}
			length = len(parts)
		}
		if length > 0 {
			return s, length
		}
	}
	return "", 0
}

// isCodeSymbol reports up to three letters or digits.
func isCodeSymbol(text string) bool {
	return text != "" && len([]rune(text)) <= 3 && !strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// codeLength returns how many symbols the codes have that stand in one cell, 0 where they
// are none.
func (c *column) codeLength() int {
	separator, length := c.codeParts()
	const longest, undelimited = 12, 8
	if length > longest || separator == "" && (length < 2 || length > undelimited) {
		return 0
	}
	return length
}

// lamps returns the signs of patterns of which a cell has one for each point, nil where the
// values are none.
func (c *column) lamps() []string {
	var signs []string
	length := -1
	for _, v := range c.distinct() {
		runes := []rune(strings.Join(strings.Fields(v), ""))
		if length >= 0 && len(runes) != length || len(runes) < 2 {
			return nil
		}
		length = len(runes)
		for _, r := range runes {
			if !isTick(string(r)) {
				return nil
			}
			signs = append(signs, string(r))
		}
	}
	if signs = distinct(signs); len(signs) < 2 || len(signs) > 4 {
		return nil
	}
	return signs
}
