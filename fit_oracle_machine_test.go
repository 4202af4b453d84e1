package standin_test

import (
	"fmt"
	"strings"

	"standin"
)

// machine returns a machine of the dossier's model with some evidence. What its old
// part leads to is put into the dossier, as the catalogue does.
func (g *caseGenerator) machine(d *standin.Dossier, boards []standin.Board) standin.Machine {
	m := standin.Machine{ModelKey: d.Asked, Location: pick(g, "", "north", "south", "elsewhere")}
	evidence := pick(g, 0, 0.3, 0.9)
	if g.chance(evidence) {
		m.Made = made(pick(g, "1999", "2000-02", "2001-W10", "2002-07-15", "2000-11/2001-03", "2003/..", "../1999-06", "2009"))
	}
	if g.chance(evidence) {
		m.Serial = g.serial(d)
	}
	for g.chance(evidence) && len(m.Plug) < 3 {
		m.Plug = append(m.Plug, pick(g, g.pool...).Ways.V)
	}
	if g.chance(evidence / 3) {
		m.NoPlug = append(m.NoPlug, pick(g, g.pool...).Ways.V)
	}
	if g.chance(evidence / 3) {
		m.Position = pick(g, "control", "display", "Display", "motor")
	}
	if g.chance(evidence) {
		m.OldPart, d.OldParts = g.oldPart(boards)
	}
	return m
}

// oldPart returns a part with all its revisions, a marking that leads to one
// revision or to several parts, or a number that leads nowhere.
func (g *caseGenerator) oldPart(boards []standin.Board) (number string, leads []standin.OldPart) {
	add := func(b standin.Board, only string) {
		for _, r := range b.Revisions {
			if only == "" || r.Label == only {
				leads = append(leads, standin.OldPart{PartNumber: b.PartNumber, Revision: r.Label, Layout: r.Layout, Family: b.Family, Position: b.Position})
			}
		}
	}
	one, other := pick(g, boards...), pick(g, boards...)
	switch g.IntN(4) {
	case 0:
		number = "MARK-1"
		add(one, one.Revisions[0].Label)
	case 1:
		number = "MARK-2"
		add(one, "")
		if other.PartNumber != one.PartNumber {
			add(other, "")
		}
	case 2:
		number = one.PartNumber
		add(one, "")
	default:
		number = "NOWHERE"
	}
	return number, leads
}

// serialKinds are rules with serials that they read.
var serialKinds = []struct {
	pattern string
	serial  func(calendarDay) string
}{
	{`^(?P<y1>\d)(?P<w>\d\d)\d*$`, func(d calendarDay) string { return fmt.Sprintf("%d%02d77", d.isoYear%10, d.week) }},
	{`^(?P<y1>\d)(?P<d>\d{3})`, func(d calendarDay) string { return fmt.Sprintf("%d%03d", d.year%10, d.dayOfYear) }},
	{`^(?P<y2>\d\d)(?P<w>\d\d)`, func(d calendarDay) string { return fmt.Sprintf("%02d%02d", d.isoYear%100, d.week) }},
	{`^(?P<y2>\d\d)(?P<m>\d\d)`, func(d calendarDay) string { return fmt.Sprintf("%02d%02d", d.year%100, d.month) }},
	{`^(?P<y2>\d\d)`, func(d calendarDay) string { return fmt.Sprintf("%02d0", d.year%100) }},
	{`^(?P<y4>\d{4})(?P<d>\d{3})`, func(d calendarDay) string { return fmt.Sprintf("%d%03d", d.year, d.dayOfYear) }},
	{`^(?P<y4>\d{4})(?P<m>\d\d)?$`, func(d calendarDay) string { return fmt.Sprint(d.year) }},
	{`^(?P<yl>[A-Z])(?P<ml>[0-9A-Z])`, func(d calendarDay) string {
		return string(letterOfYear[(d.year-1970)%20]) + string(letterOfMonth[d.month-1])
	}},
	{`^(?P<yl>[A-Z])(?P<w>\d\d)`, func(d calendarDay) string { return fmt.Sprintf("%c%02d", letterOfYear[(d.isoYear-1970)%20], d.week) }},
	{`(?P<y1>\d)(?P<ml>[1-9OND])$`, func(d calendarDay) string { return fmt.Sprintf("SN-%d%c", d.year%10, letterOfMonth[d.month-1]) }},
}

// serial returns a serial number for the builds' bounds, or for a rule that it gives
// the model; at times one that cannot be compared, cannot be read or is no date.
func (g *caseGenerator) serial(d *standin.Dossier) string {
	for _, b := range d.Builds {
		if b.SerialFrom+b.SerialTo != "" {
			return pick(g, "0050", "250", "0499", "500", "AB15", "AB1", "B", "12A4", strings.Repeat("9", 30))
		}
	}
	if g.chance(0.1) {
		return "12345" // and no rule
	}
	kind := pick(g, serialKinds...)
	rule, err := standin.NewSerialRule("rule", kind.pattern, pick(g, standin.Maybe[int]{}, standin.Known(1990), standin.Known(2000)))
	if err != nil {
		panic(err)
	}
	d.Model.SerialRule = rule
	if g.chance(0.15) {
		return pick(g, "0000", "953", "9553", "2001366", "I1", "A0", "200013", "?")
	}
	first, last := standin.NewDate(1996, 1, 1), standin.NewDate(2013, 12, 31)
	return kind.serial(calendar[int(first-calendar[0].span.From.V)+g.IntN(int(last-first))])
}
