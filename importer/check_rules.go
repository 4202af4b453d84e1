package importer

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"standin"
	"standin/importer/table"
)

// rule looks at a row whose cells have been parsed one by one. It reports what
// they must not be to each other; a cell that is not recorded is never wrong.
type rule func(r *row)

// referred are the files whose rows others refer to by their key.
var referred = map[string]bool{
	"sources": true, "procedures": true, "families": true, "layouts": true, "boards": true,
	"revisions": true, "serial_rules": true, "models": true, "builds": true, "adaptors": true,
}

// ascending are pairs of columns of which the first must not be above the second.
var ascending = []struct{ low, high, message string }{
	{"made_from", "made_to", "%s is before made_from, %s"},
	{"volts_min", "volts_max", "%s is less than volts_min, %s"},
	{"issue_from", "issue_to", "%s is less than issue_from, %s"},
	{"ohms_low", "ohms_high", "%s is less than ohms_low, %s"},
}

// rulesOf are the rules of a file, in the order in which they are applied.
func rulesOf(file standin.File, families shapes) []rule {
	at := func(name string) int { return slices.Index(table.ColumnNames(file), name) }
	rules := plausible(file)
	for _, pair := range ascending {
		if low, high := at(pair.low), at(pair.high); low >= 0 && high >= 0 {
			rules = append(rules, inOrder(low, high, pair.message))
		}
	}
	if position := at("position"); position >= 0 {
		rules = append(rules, controlIsEmpty(position))
	}
	switch file.Name {
	case "families":
		rules = append(rules, eachOnce(at("selector"), "symbol"), eachOnce(at("readback"), "read-back point"),
			alphabetOfPoints(at("alphabet"), at("readback")), panelOfPoints(at("panel"), at("readback")),
			remember(families, at("family"), at("selector"), at("code_length"), at("readback"), at("alphabet")))
	case "procedures":
		rules = append(rules, keepName(at("phase"), at("step")))
	case "layouts":
		rules = append(rules, oneCircuitPerWay(at("ways"), at("circuits")), keepName(at("connector")))
	case "revisions":
		rules = append(rules, stopInDoubt(at("stop")))
	case "supersessions":
		rules = append(rules, notItself(at("new_part"), "a part cannot supersede itself; name two different parts",
			[]int{at("old_part")}, []int{at("new_part")}))
	case "twins":
		rules = append(rules, wholeName(at("of_brand"), at("of_model"), at("of_variant")), notItself(at("of_model"), "a model cannot be the twin of itself; name the model that it is under another badge",
			[]int{at("brand"), at("model"), at("variant")}, []int{at("of_brand"), at("of_model"), at("of_variant")}))
	case "builds":
		rules = append(rules, serialsInOrder(at("serial_from"), at("serial_to")),
			revisionOfAPart(at("revision"), at("part_number")), wholeName(at("part_number"), at("revision")), standApart(at("made_from"), at("made_to")))
	case "configurations":
		rules = append(rules, codeOfFamily(families, at("family"), at("code")),
			patternOfFamily(families, at("family"), at("pattern")), noOpenRange(at("issue_to")))
	}
	return rules
}

func inOrder(low, high int, message string) rule {
	return func(r *row) {
		if r.cells[low] == nil || r.cells[high] == nil || compare(r.cells[low], r.cells[high]) <= 0 {
			return
		}
		r.fault(high, table.BadValue(message, table.Quoted(r.raw[high]), table.Quoted(r.raw[low])))
		if !r.intake.table.File.Columns[low].Key {
			r.cells[low] = nil // one of the two is wrong, nobody knows which
		}
	}
}

// compare compares two cells of the same numeric kind.
func compare(a, b any) int {
	switch a := a.(type) {
	case standin.Date:
		return cmp.Compare(a, b.(standin.Date))
	case int64:
		return cmp.Compare(a, b.(int64))
	case float64:
		return cmp.Compare(a, b.(float64))
	}
	return 0
}

// serialsInOrder compares serials as the builds' rule does: as numbers where
// both are digits, else as text of equal length; others cannot be compared.
func serialsInOrder(from, to int) rule {
	return func(r *row) {
		low, high := r.raw[from], r.raw[to]
		if low == "" || high == "" || r.faulty[from] || r.faulty[to] {
			return
		}
		if table.AllDigits(low) && table.AllDigits(high) {
			width := max(len(low), len(high))
			low, high = strings.Repeat("0", width-len(low))+low, strings.Repeat("0", width-len(high))+high
		}
		if len(low) == len(high) && low > high {
			r.fault(to, table.BadValue("%s is before serial_from, %s", table.Quoted(r.raw[to]), table.Quoted(r.raw[from])))
			r.cells[from] = nil
		}
	}
}

// stopInDoubt leaves a supply stop alone where its cell is faulty, so that it is not
// also reported as lifted.
func stopInDoubt(stop int) rule {
	return func(r *row) { r.absent[stop] = r.absent[stop] || r.faulty[stop] }
}

// eachOnce is the rule that a list names nothing twice.
func eachOnce(at int, what string) rule {
	return func(r *row) {
		words, _ := r.cells[at].([]string)
		seen := map[string]bool{}
		for _, word := range words {
			if seen[word] {
				r.fault(at, table.BadValue("the %s %s is there twice; name each once", what, table.Quoted(word)))
				return
			}
			seen[word] = true
		}
	}
}

// remember keeps what a family asks of codes. What is faulty is not asked; what is
// absent stays as it is stored.
func remember(families shapes, family, selector, length, readback, alphabet int) rule {
	return func(r *row) {
		name, ok := r.cells[family].(string)
		if !ok {
			return
		}
		symbols, _ := r.cells[selector].([]string)
		var symbolsOfCode, points standin.Maybe[int]
		if n, ok := r.cells[length].(int64); ok {
			symbolsOfCode = standin.Known(int(n))
		}
		stored := families[name]
		stays := func(c int) bool { return stored != nil && r.absent[c] && !r.faulty[c] }
		if stays(selector) {
			symbols = stored.selector
		}
		switch names, _ := r.cells[readback].([]string); {
		case stays(readback):
			points = stored.readback
		case !r.faulty[readback]:
			points = standin.Known(len(names))
		}
		s := newShape(symbols, symbolsOfCode, points)
		switch words, _ := r.cells[alphabet].([]string); {
		case stays(alphabet):
			s.alphabet, s.anything = stored.alphabetFor(points.V)
		case points.Known:
			s.alphabet, _ = standin.ParseAlphabet(strings.Join(words, " "), points.V) // the rule before this has reported it
		}
		s.anything = s.anything || r.faulty[alphabet]
		families[name] = s
	}
}

// oneCircuitPerWay is the rule that a connector lists a circuit for each pin.
func oneCircuitPerWay(ways, circuits int) rule {
	return func(r *row) {
		n, recorded := r.cells[ways].(int64)
		names, listed := r.cells[circuits].([]string)
		if recorded && listed && int64(len(names)) != n {
			r.fault(circuits, &table.Fault{Code: standin.WaysMismatch, Message: fmt.Sprintf(
				"%s listed for %d ways; name one a pin, %s for an unused pin", table.Count(len(names), "circuit"), n, standin.Unused)})
		}
	}
}

// notItself withholds a link from a row to itself, so that it is reported only once.
func notItself(place int, message string, from, to []int) rule {
	return func(r *row) {
		for i := range from {
			if r.faulty[from[i]] || r.faulty[to[i]] || r.cells[from[i]] != r.cells[to[i]] {
				return
			}
		}
		r.fault(place, &table.Fault{Code: standin.Circle, Message: message})
		r.withheld = true
	}
}

// wholeName drops a name of several columns of which one is faulty: the rest would
// name something else.
func wholeName(columns ...int) rule {
	return func(r *row) {
		if slices.ContainsFunc(columns, func(c int) bool { return r.faulty[c] }) {
			for _, c := range columns {
				r.cells[c] = nil
			}
		}
	}
}

// keepName completes the key of a row that is faulty in a part of its key other than
// the name by which rows refer to it, so that those do not refer to nothing. It is
// never committed, because the row has an error.
func keepName(rest ...int) rule {
	return func(r *row) {
		for _, c := range rest {
			if !r.faulty[c] {
				continue
			}
			r.faulty[c] = false
			if r.cells[c] = fmt.Sprintf("line %d", r.line); r.intake.table.File.Columns[c].Kind == standin.Integer {
				r.cells[c] = -int64(r.line)
			}
		}
	}
}

// revisionOfAPart is the rule that a row which names a revision also names its part.
func revisionOfAPart(revision, part int) rule {
	return func(r *row) {
		if r.cells[revision] != nil && r.cells[part] == nil && !r.faulty[part] && !r.absent[part] {
			r.fault(part, table.MissingValue("the cell is empty, but the row names a revision; name the part it is a revision of"))
		}
	}
}

// standApart gives a build whose dates are in doubt a day of its own at the end
// of time, where it overlaps no other: it must stay, since other rows may refer
// to it, and nothing is committed of a bundle that has an error.
func standApart(from, to int) rule {
	return func(r *row) {
		if r.faulty[from] || r.faulty[to] {
			day := standin.NewDate(9999, 12, 31) - standin.Date(r.line)
			r.cells[from], r.cells[to] = day, day
		}
	}
}

// codeOfFamily reads the code by the family of its row. An unknown family is
// the store's to report.
func codeOfFamily(families shapes, family, code int) rule {
	return func(r *row) {
		name, _ := r.cells[family].(string)
		s := families[name]
		text, recorded := r.cells[code].(string)
		switch {
		case r.faulty[code], r.absent[code]:
		case recorded:
			symbols, faults := parseCode(s, text)
			r.cells[code] = symbols
			for _, f := range faults {
				r.fault(code, f)
			}
		case s != nil && s.length.Or(0) > 0:
			r.fault(code, table.MissingValue("the cell is empty; a code of family %s has %s", table.Quoted(name), table.Count(s.length.V, "symbol")))
		}
	}
}

func patternOfFamily(families shapes, family, pattern int) rule {
	return func(r *row) {
		text, recorded := r.cells[pattern].(string)
		if !recorded {
			return
		}
		name, _ := r.cells[family].(string)
		value, f := parsePattern(families[name], text)
		if f != nil {
			r.fault(pattern, f)
			return
		}
		r.cells[pattern] = value
	}
}

// noOpenRange withholds a configuration whose range of issues has a faulty end: as an
// open range it would overlap others.
func noOpenRange(to int) rule {
	return func(r *row) { r.withheld = r.withheld || r.faulty[to] }
}
