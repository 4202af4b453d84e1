package standin_test

import (
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// piece is one piece of evidence that is used, and the builds it allows.
type piece struct {
	name   string
	allows []bool
}

func allowed(evidence []piece, build int) bool {
	for _, e := range evidence {
		if !e.allows[build] {
			return false
		}
	}
	return true
}

// oracleEvidence is rule 1: the builds that each piece of evidence allows, and the
// pieces that cannot be used.
func oracleEvidence(d *standin.Dossier, m standin.Machine, builds []standin.Build) (used []piece, notUsed []string) {
	use := func(name string, usable bool, possible func(b standin.Build) bool) {
		if !usable {
			notUsed = append(notUsed, name)
			return
		}
		p := piece{name: name}
		for _, b := range builds {
			p.allows = append(p.allows, possible(b))
		}
		used = append(used, p)
	}
	if m.Made != (standin.Made{}) {
		use("made", true, func(b standin.Build) bool { return turnsUp(b).Overlaps(m.Made.Span) })
	}
	if m.Serial != "" {
		if slices.ContainsFunc(builds, func(b standin.Build) bool { return b.SerialFrom != "" || b.SerialTo != "" }) {
			use("serial", comparableWithAny(builds, m.Serial), func(b standin.Build) bool {
				return !before(m.Serial, b.SerialFrom) && !before(b.SerialTo, m.Serial)
			})
		} else {
			days := serialDays(d.Model, m.Serial)
			use("serial", len(days) > 0, func(b standin.Build) bool { return slices.ContainsFunc(days, turnsUp(b).Overlaps) })
		}
	}
	if len(m.Plug)+len(m.NoPlug) > 0 {
		use("plug", true, func(b standin.Build) bool {
			return b.Layout == nil || hasWays(b.Layout.Connectors, m.Plug) && hasNone(b.Layout.Connectors, m.NoPlug)
		})
	}
	if m.OldPart != "" {
		use("old_part", len(d.OldParts) > 0, func(b standin.Build) bool {
			return slices.ContainsFunc(d.OldParts, func(o standin.OldPart) bool {
				return seatDirect(b.Layout, o.Layout) != seatsNot && mayBeAt(d, o, place(b.Position))
			})
		})
	}
	if m.Position != "" {
		use("position", true, func(b standin.Build) bool { return len(d.Builds) == 0 || place(b.Position) == place(m.Position) })
	}
	return used, notUsed
}

// place is a position, the control where none is recorded.
func place(position string) string {
	if position == "" {
		return "control"
	}
	return strings.ToLower(position)
}

// mayBeAt reports whether an old part may come from a position: where its family
// or chain is the factory board of positions it is one of those, else its own
// where the model has that, else anywhere.
func mayBeAt(d *standin.Dossier, o standin.OldPart, position string) bool {
	factory, has := map[string]bool{}, false
	for _, b := range d.Builds {
		has = has || o.Position != "" && place(b.Position) == place(o.Position)
		if b.PartNumber == "" {
			continue
		}
		_, newer := distances(d, []standin.Build{b})[o.PartNumber]
		_, older := distances(d, []standin.Build{{PartNumber: o.PartNumber}})[b.PartNumber]
		for _, board := range d.Boards {
			if board.PartNumber == b.PartNumber && board.Family == o.Family && o.Family != "" {
				newer = true
			}
		}
		if newer || older {
			factory[place(b.Position)] = true
		}
	}
	if len(factory) > 0 {
		return factory[position]
	}
	return !has || place(o.Position) == position
}

func hasNone(plugs []standin.Connector, ways []int) bool {
	for _, p := range plugs {
		if p.Ways.Known && slices.Contains(ways, p.Ways.V) {
			return false
		}
	}
	return true
}

// turnsUp is the span in which a build may turn up, with its run-out.
func turnsUp(b standin.Build) standin.Span {
	span := b.Made
	span.To.V += standin.Date(b.RunOutDays)
	return span
}

func hasWays(plugs []standin.Connector, ways []int) bool {
	if len(ways) == 0 {
		return true
	}
	for i, p := range plugs {
		if (!p.Ways.Known || p.Ways.V == ways[0]) && hasWays(without(plugs, i), ways[1:]) {
			return true
		}
	}
	return false
}

var allDigits = regexp.MustCompile(`^[0-9]+$`)

// compareSerials compares as numbers where both are all digits, else as text of
// equal length; ok reports whether they can be compared.
func compareSerials(a, b string) (order int, ok bool) {
	if allDigits.MatchString(a) && allDigits.MatchString(b) {
		x, _ := new(big.Int).SetString(a, 10)
		y, _ := new(big.Int).SetString(b, 10)
		return x.Cmp(y), true
	}
	return strings.Compare(a, b), len(a) == len(b)
}

// before reports whether a stands before b; an open or incomparable bound is
// before nothing, and nothing is before it.
func before(a, b string) bool {
	order, ok := compareSerials(a, b)
	return a != "" && b != "" && ok && order < 0
}

func comparableWithAny(builds []standin.Build, serial string) bool {
	for _, b := range builds {
		for _, bound := range []string{b.SerialFrom, b.SerialTo} {
			if _, ok := compareSerials(serial, bound); bound != "" && ok {
				return true
			}
		}
	}
	return false
}

// serialDays are the days of the model's production that the serial may mean,
// found by trying every day.
func serialDays(m standin.Model, serial string) (days []standin.Span) {
	if m.SerialRule == nil {
		return nil
	}
	expression := regexp.MustCompile(m.SerialRule.Pattern)
	match := expression.FindStringSubmatch(serial)
	if match == nil {
		return nil
	}
	groups := map[string]string{}
	for i, name := range expression.SubexpNames() {
		if name != "" && match[i] != "" {
			groups[name] = match[i]
		}
	}
	date := serialDateOf(groups, m.SerialRule.YearBase)
	tried := calendar
	if date.year != nothing {
		tried = daysOf(date.year-1, date.year+2)
	}
	for _, day := range tried {
		if date.allows(day) && m.Made.Overlaps(day.span) {
			days = append(days, day.span)
		}
	}
	return days
}

// calendarDay is a day with the parts of its date that a serial may give.
type calendarDay struct {
	span                                  standin.Span
	year, month, dayOfYear, isoYear, week int
}

// calendar has every day of the years that a serial without a century may mean.
var calendar = daysOf(1950, 2100)

// daysOf returns the days from the beginning of one year up to that of another.
func daysOf(from, before int) (days []calendarDay) {
	for d := standin.NewDate(from, 1, 1); d < standin.NewDate(before, 1, 1); d++ {
		t := d.Time()
		isoYear, week := t.ISOWeek()
		days = append(days, calendarDay{standin.Days(d, d), t.Year(), int(t.Month()), t.YearDay(), isoYear, week})
	}
	return days
}

// The letters of IEC 60062: years in a cycle of twenty from 1990, months.
const (
	letterOfYear  = "ABCDEFHJKLMNPRSTUVWX"
	letterOfMonth = "123456789OND"
)

// serialDate is what a serial says of a date: the value of each part, or nothing.
type serialDate struct {
	lastDigit, lastTwo, year, inCycle, month, week, dayOfYear int
	isoYear                                                   bool
}

const nothing = -1

func serialDateOf(groups map[string]string, yearBase standin.Maybe[int]) serialDate {
	digits := func(name string) int {
		n, err := strconv.Atoi(groups[name])
		if err != nil {
			return nothing
		}
		return n
	}
	s := serialDate{lastDigit: digits("y1"), lastTwo: digits("y2"), year: digits("y4"), inCycle: nothing, month: digits("m"),
		week: digits("w"), dayOfYear: digits("d"), isoYear: groups["w"] != ""}
	if s.lastTwo != nothing && yearBase.Known {
		s.year, s.lastTwo = yearBase.V+s.lastTwo, nothing
	}
	const never = 99 // no letter of the code: no date has it
	if letter := groups["yl"]; letter != "" {
		if s.inCycle = strings.Index(letterOfYear, letter); s.inCycle < 0 {
			s.inCycle = never
		}
	}
	if letter := groups["ml"]; letter != "" {
		if s.month = strings.Index(letterOfMonth, letter) + 1; s.month == 0 {
			s.month = never
		}
	}
	return s
}

// allows reports whether the day is as the serial says.
func (s serialDate) allows(d calendarDay) bool {
	year := d.year
	if s.isoYear {
		year = d.isoYear
	}
	is := func(given, actual int) bool { return given == nothing || given == actual }
	return is(s.lastDigit, year%10) && is(s.lastTwo, year%100) && is(s.year, year) && is(s.inCycle, (year-1890)%20) &&
		is(s.month, d.month) && is(s.week, d.week) && is(s.dayOfYear, d.dayOfYear)
}

// smallestContradictions are the smallest sets of evidence that no build
// satisfies, each in the order of the evidence.
func smallestContradictions(evidence []piece, builds int) (smallest [][]string) {
	for set := range 1 << len(evidence) {
		var chosen []piece
		var names []string
		for i, e := range evidence {
			if set&(1<<i) != 0 {
				chosen, names = append(chosen, e), append(names, e.name)
			}
		}
		satisfied := false
		for b := range builds {
			satisfied = satisfied || allowed(chosen, b)
		}
		switch {
		case satisfied || len(smallest) > 0 && len(names) > len(smallest[0]):
		case len(smallest) > 0 && len(names) == len(smallest[0]):
			smallest = append(smallest, names)
		default:
			smallest = [][]string{names}
		}
	}
	return smallest
}
