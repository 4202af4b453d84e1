package mapping

import (
	"maps"
	"regexp"
	"slices"
	"strings"

	"standin/importer/table"
)

// role is what a column of a supplier's table is taken for, as words.yaml names it.
type role string

const (
	noRole          role = ""
	brandRole       role = "brand"
	modelRole       role = "model"
	variantRole     role = "variant"
	kindRole        role = "kind"
	madeRole        role = "made" // a span of dates in one cell
	fromRole        role = "made_from"
	toRole          role = "made_to"
	serialRole      role = "serial" // a span of serial numbers in one cell
	serialFromRole  role = "serial_from"
	serialToRole    role = "serial_to"
	voltsRole       role = "volts"
	hertzRole       role = "hertz"
	classRole       role = "class"
	partRole        role = "part"
	revisionRole    role = "revision"
	issueRole       role = "issue"
	titleRole       role = "title"
	gtinRole        role = "gtin"
	familyRole      role = "family"
	optionsRole     role = "options"
	wattsRole       role = "watts"
	ampsRole        role = "amps"
	ohmsRole        role = "ohms"
	ohmsLowRole     role = "ohms_low"
	ohmsHighRole    role = "ohms_high"
	elementRole     role = "element"
	circuitRole     role = "circuit"
	codeRole        role = "code"
	patternRole     role = "pattern"
	lampRole        role = "lamp"
	stateRole       role = "state"
	oldRole         role = "old_part"
	newRole         role = "new_part"
	interchangeRole role = "interchange"
	noteRole        role = "note"
	locationRole    role = "location"
	quantityRole    role = "quantity"
	conditionRole   role = "condition"
	layoutRole      role = "layout"
	connectorRole   role = "connector"
	waysRole        role = "ways"
	pitchRole       role = "pitch"
	keyRole         role = "key"
	circuitsRole    role = "circuits"
	markingRole     role = "marking"
	stopRole        role = "stop"
	positionRole    role = "position"
	sourceRole      role = "source"
	presetRole      role = "preset"
	unusedRole      role = "unused" // a price and the like
)

// headed is what the header of a column says.
type headerSays struct {
	roles map[role]float64 // how well it names each, 0 to 1
	unit  string           // in lower case; empty: none
	week  bool             // dates are given by the week
	heats bool             // it is about a heater
}

// headerUnits are units as headers and cells write them, in lower case.
var headerUnits = map[string]bool{"v": true, "volt": true, "kv": true, "w": true, "watt": true, "kw": true, "a": true, "ma": true, "hz": true,
	"ohm": true, "ω": true, "kohm": true, "kω": true, "mm": true, "cm": true, "in": true, "inch": true, "\"": true, "zoll": true, "pouces": true,
	"pollici": true, "pulgadas": true, "duim": true, "cale": true, "mil": true, "mils": true, "kva": true, "va": true}

var bracketed = regexp.MustCompile(`[\[(]([^\])]*)[\])]`)

// says reads a header; above is what stands above it.
func says(own, above string) headerSays {
	s, itself := headerSays{roles: map[role]float64{}}, false
	s.take(own)
	if above != "" {
		upper := headerSays{roles: map[role]float64{}}
		upper.take(above)
		ofGroup := 0.85 // a caption over several columns says less of each
		itself = len(headerTokens(own)) > 0 && hasLetters(own) && len([]rune(own)) > 3 && len(qualifiers(own)) == 0
		if itself && !groupRoles[upper.group()] {
			ofGroup = 0.4 // the column says itself what it is, and may not be under the caption
		}
		for r, score := range upper.roles {
			s.roles[r] = max(s.roles[r], ofGroup*score)
		}
		if s.unit == "" {
			s.unit = upper.unit
		}
		s.week, s.heats = s.week || upper.week, s.heats || upper.heats
	}
	if itself {
		above = ""
	}
	s.qualify(own, above)
	s.weigh()
	return s
}

// unitRoles are the roles that a unit in the header allows.
var unitRoles = map[string][]role{"v": {voltsRole}, "volt": {voltsRole}, "kv": {voltsRole}, "w": {wattsRole}, "watt": {wattsRole}, "kw": {wattsRole},
	"va": {wattsRole}, "kva": {wattsRole}, "a": {ampsRole}, "ma": {ampsRole}, "hz": {hertzRole}, "ohm": {ohmsRole, ohmsLowRole, ohmsHighRole},
	"ω": {ohmsRole, ohmsLowRole, ohmsHighRole}, "kohm": {ohmsRole, ohmsLowRole, ohmsHighRole}, "kω": {ohmsRole, ohmsLowRole, ohmsHighRole}}

// weigh believes what the header names best more than the others, and a unit more than
// words.
func (s *headerSays) weigh() {
	const byUnit, exact, far, less, least = 0.75, 0.96, 0.1, 0.7, 0.45
	if allowed := unitRoles[s.unit]; allowed != nil {
		for r := range s.roles {
			if _, measured := quantities[r]; measured && !slices.Contains(allowed, r) || r == codeRole || r == modelRole {
				delete(s.roles, r)
			}
		}
		if !slices.ContainsFunc(allowed, func(r role) bool { return s.roles[r] >= byUnit }) {
			s.roles[allowed[0]] = byUnit
		}
	}
	_, best := bestRole(*s)
	for r, score := range s.roles {
		switch {
		case best > exact && score < exact-far:
			s.roles[r] = score * least
		case score < best-far:
			s.roles[r] = score * less
		}
	}
}

// group returns the role that a caption names best.
func (s headerSays) group() role {
	best, score := bestRole(s)
	if score < 0.6 {
		return noRole
	}
	return best
}

// take adds what a text says.
func (s *headerSays) take(text string) {
	for _, m := range bracketed.FindAllStringSubmatch(text, -1) {
		if unit := strings.ToLower(table.Trim(m[1])); headerUnits[unit] {
			s.unit = unit
		}
	}
	tokens := headerTokens(text)
	for i, token := range tokens {
		s.week = s.week || trade().cells["week"][token] != ""
		for stem := range trade().cells["heats"] {
			s.heats = s.heats || strings.HasPrefix(token, stem)
		}
		if last := i == len(tokens)-1; last && headerUnits[token] && len(tokens) > 1 && token != "in" && token != "a" {
			s.unit = token
			tokens = tokens[:i]
		}
	}
	if len(tokens) == 1 && (tokens[0] == "v" || tokens[0] == "w" || tokens[0] == "hz" || tokens[0] == "kw") {
		s.unit = tokens[0]
		s.roles[map[string]role{"v": voltsRole, "w": wattsRole, "kw": wattsRole, "hz": hertzRole}[tokens[0]]] = 0.9
	}
	for _, p := range trade().headers {
		if len(p.tokens) == 1 && len(p.tokens[0]) == 1 && s.unit == "" {
			continue // a letter is the sign of a quantity where a unit is beside it, else a name
		}
		if score := names(tokens, p.tokens); score > s.roles[p.role] && score > leastNamed {
			s.roles[p.role] = score
		}
	}
}

// leastNamed is how well a header must name a role to count.
const leastNamed = 0.35

// headerTokens returns the words of a header without those that say nothing, with one
// word for number. What stands in brackets is left out where other words are there.
func headerTokens(text string) []string {
	if outside := bracketed.ReplaceAllString(text, " "); foldWords(outside) != "" {
		text = outside
	}
	return trade().tokens(foldWords(text))
}

// tokens returns folded words without those that say nothing, with one word for number.
func (w words) tokens(folded string) []string {
	var all []string
	for _, token := range strings.Fields(folded) {
		switch {
		case slices.Contains(w.fillers["number"], token):
			all = append(all, "no")
			continue
		case slices.Contains(w.fillers["empty"], token):
			continue
		}
		for _, ending := range []string{"nummer", "numer", "nr"} {
			if before, ok := strings.CutSuffix(token, ending); ok && len(before) > 3 {
				all, token = append(all, strings.TrimSuffix(before, "s")), "no"
				break
			}
		}
		all = append(all, token)
	}
	return all
}

// names returns how well words of a header name a phrase: by how like the words are, and
// how much of the header they cover.
func names(tokens, phrase []string) float64 {
	if len(tokens) == 0 || len(phrase) == 0 || len(phrase) > len(tokens) {
		return 0
	}
	taken, like, covered, all := make([]bool, len(tokens)), 1.0, 0, 0
	for _, p := range phrase {
		best, at := 0.0, -1
		for i, t := range tokens {
			if q := alike(t, p); q > best && !taken[i] {
				best, at = q, i
			}
		}
		if at < 0 {
			return 0
		}
		taken[at], like = true, min(like, best)
	}
	for i, t := range tokens {
		weight := len(t)
		if t == "no" {
			weight = 1 // that it is a number says little
		}
		if all += weight; taken[i] {
			covered += weight
		}
	}
	const alone = 0.5
	return like * (alone + (1-alone)*float64(covered)/float64(all))
}

// alike returns how like a word of a header is to one of the trade, both folded.
func alike(token, word string) float64 {
	switch {
	case token == word:
		return 1
	case len(word) < 3 || len(token) < 3:
		return 0
	case inflected(token, word):
		return 0.97
	case len(word) > 3 && strings.HasSuffix(token, word): // the last part of a compound says what it is
		return 0.85
	case len(token)+1 < len(word) && strings.HasPrefix(word, token): // an abbreviation
		return 0.8
	case len(word) > 4 && strings.HasPrefix(token, word):
		return 0.55
	case len(word) > 4 && len(token) > 4 && editDistance(token, word) <= min(2, len(word)/5):
		return 0.85
	}
	return 0
}

// inflected reports two words that differ in their endings alone.
func inflected(a, b string) bool {
	const longest = 2
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return n > 3 && len(a)-n <= longest && len(b)-n <= longest && endings[a[n:]] && endings[b[n:]]
}

var endings = map[string]bool{"": true, "s": true, "e": true, "es": true, "n": true, "en": true, "er": true, "i": true, "o": true, "a": true,
	"x": true, "y": true, "ow": true, "u": true, "os": true, "as": true, "em": true, "te": true, "ta": true, "zy": true}

// editDistance is the number of letters to change, add or leave out (Levenshtein).
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j := range b {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal, row[j+1] = row[j+1], min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// qualify turns roles of which there are two, a beginning and an end, into the one that
// the header means.
func (s *headerSays) qualify(own, above string) {
	q := qualifiers(own)
	if len(q) == 0 {
		q = qualifiers(above)
	}
	rename := func(from, to role) {
		if score := s.roles[from]; score > 0 {
			delete(s.roles, from)
			s.roles[to] = max(s.roles[to], min(1, score+0.1))
		}
	}
	if q["from"] || q["to"] {
		end := map[bool][2]role{true: {fromRole, serialFromRole}, false: {toRole, serialToRole}}[q["from"]]
		rename(madeRole, end[0])
		rename(serialRole, end[1])
		if s.roles[end[0]]+s.roles[end[1]] == 0 {
			s.roles[end[0]] = max(0.6, 0.9*float64(len(foldWords(own)))/float64(len(foldWords(own))+4)) // nothing but from or to
		}
	}
	if q["low"] {
		rename(ohmsRole, ohmsLowRole)
	}
	if q["high"] {
		rename(ohmsRole, ohmsHighRole)
	}
	for name, to := range map[string]role{"old": oldRole, "new": newRole} {
		if !q[name] {
			continue
		}
		best := max(s.roles[partRole], s.roles[modelRole]*0.8, s.roles[variantRole]*0.8, 0.6)
		s.roles[to] = max(s.roles[to], min(1, best+0.1))
		delete(s.roles, partRole)
	}
}

// shortQualifier is how long words for from and to are that qualify at the end of a header
// alone: elsewhere they are little words of another language.
const shortQualifier = 3

// qualifiers returns which qualifiers a header has. The longest phrase counts: "replaced
// by" is no "replaced".
func qualifiers(header string) map[string]bool {
	tokens := strings.Fields(foldWords(header))
	found, longest := map[string]bool{}, 0
	for _, name := range slices.Sorted(maps.Keys(trade().qualifiers)) {
		for _, phrase := range trade().qualifiers[name] {
			words := strings.Fields(phrase)
			at := indexOf(tokens, words)
			if at < 0 && len(words) == 1 && len(phrase) > 4 {
				at = slices.IndexFunc(tokens, func(t string) bool {
					return len(t) > 3 && (inflected(t, phrase) || len(phrase) > 6 && editDistance(t, phrase) == 1)
				})
			}
			short := len(phrase) <= shortQualifier && (name == "from" || name == "to")
			if at < 0 || short && at+len(words) < len(tokens) {
				continue
			}
			switch {
			case len(words) > longest:
				found, longest = map[string]bool{name: true}, len(words)
			case len(words) == longest:
				found[name] = true
			}
		}
	}
	return found
}

// indexOf returns where words stand among others, -1 where they do not.
func indexOf(all, words []string) int {
	for at := 0; at+len(words) <= len(all); at++ {
		if slices.Equal(all[at:at+len(words)], words) {
			return at
		}
	}
	return -1
}
