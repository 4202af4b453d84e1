package tell

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"standin"
)

// Models lists the models that may be meant by what was typed, best first,
// with what to type for each.
func Models(typed string, matches []standin.ModelMatch) string {
	p := &page{}
	if len(matches) == 0 {
		p.line(0, fmt.Sprintf("No model looks like %q.", typed))
		return p.String()
	}
	for _, m := range matches {
		tellModel(p, m)
	}
	return p.String()
}

// Unknown names the models nearest to one that is not known, with what to type
// for each; it is empty where there are none.
func Unknown(nearest []standin.ModelMatch) string {
	if len(nearest) == 0 {
		return ""
	}
	p := &page{}
	p.line(0, "Nearest to it:")
	for _, m := range nearest {
		tellModel(p, m)
	}
	return p.String()
}

func tellModel(p *page, m standin.ModelMatch) {
	head := m.ModelKey.String()
	if m.TwinOf != nil {
		head += ", the same appliance as " + m.TwinOf.String()
	}
	p.ends(0, head, m.Kind)
	p.line(bodyIndent, "standin fit "+modelFlags(m.ModelKey))
}

// Board is all that is recorded of one board, with models that it may stand in
// for; more where they are not all.
func Board(b *standin.BoardRecord, models []standin.ModelKey, more bool) string {
	p := &page{}
	p.line(0, strings.Join(slices.DeleteFunc([]string{b.PartNumber, b.Title}, func(s string) bool { return s == "" }), ", "))
	if b.Family == "" {
		p.item(bodyIndent, "family", "none, a fixed board with nothing to configure")
	} else {
		p.item(bodyIndent, "family", b.Family)
	}
	if b.Position != "" {
		p.item(bodyIndent, "position", b.Position)
	}
	if b.GTIN != "" {
		p.item(bodyIndent, "GTIN", b.GTIN)
	}
	var here []standin.StockLine
	for _, s := range b.Stock {
		here = append(here, standin.StockLine{Location: s.Location, Condition: s.Condition, Free: s.Free, RevisionKnown: s.Revision != ""})
	}
	tellStock(p, &standin.Candidate{Stock: here}, "")
	for _, m := range b.Markings {
		p.item(bodyIndent, "marking", m.Marking+" leads to "+board(m.PartNumber, m.Revision)+note(m.Note))
	}
	for _, s := range b.Supersessions {
		p.item(bodyIndent, "replaced", supersession(s))
	}
	for _, r := range b.Revisions {
		p.blank()
		tellRevision(p, r)
	}
	p.blank()
	tellModels(p, models, more)
	return p.String()
}

// Adaptor is all that is recorded of one adaptor.
func Adaptor(a *standin.AdaptorRecord) string {
	p := &page{}
	p.line(0, strings.Join(slices.DeleteFunc([]string{a.PartNumber, a.Title}, func(s string) bool { return s == "" }), ", "))
	if len(a.Stock) == 0 {
		p.item(bodyIndent, "stock", "not recorded")
	} else {
		var here []standin.StockLine
		for _, s := range a.Stock {
			here = append(here, standin.StockLine{Location: s.Location, Condition: s.Condition, Free: s.Free, RevisionKnown: true})
		}
		tellStock(p, &standin.Candidate{Stock: here}, "")
	}
	p.item(bodyIndent, "accepts", a.Takes.Name+headers(a.Takes))
	p.item(bodyIndent, "presents", a.Gives.Name+headers(a.Gives))
	return p.String()
}

func tellModels(p *page, models []standin.ModelKey, more bool) {
	if len(models) == 0 {
		p.line(0, "No model is recorded that it could fit.")
		return
	}
	p.line(0, "It is looked at for these models; standin fit says whether it fits:")
	for _, m := range models {
		p.line(bodyIndent, m.String())
	}
	if more {
		p.line(bodyIndent, "and more")
	}
}

// note is a remark in brackets.
func note(text string) string {
	if text == "" {
		return ""
	}
	return " (" + text + ")"
}

func supersession(s standin.Supersession) string {
	said := s.Old + " by " + s.New
	if from, ok := s.From.Get(); ok {
		said += " from " + from.String()
	}
	if s.TwoWay {
		said += ", and either serves for the other"
	}
	return said + note(s.Note)
}

func tellRevision(p *page, r standin.Revision) {
	head := "Revision " + r.Label
	if issue, ok := r.Issue.Get(); ok {
		head += fmt.Sprintf(", issue %d", issue)
	}
	if r.Stop != "" {
		p.ends(0, head, "must not be supplied")
		p.item(bodyIndent, "stop", r.Stop)
	} else {
		p.line(0, head)
	}
	if r.Made != (standin.Span{}) {
		p.item(bodyIndent, "made", r.Made.String())
	}
	p.item(bodyIndent, "supply", revisionSupply(r))
	p.item(bodyIndent, "options", standin.Recorded(r.Options))
	if r.Layout == nil {
		p.item(bodyIndent, "layout", "not recorded")
	} else {
		p.item(bodyIndent, "layout", r.Layout.Name+headers(r.Layout))
	}
	p.item(bodyIndent, "ratings", ratings(r.Ratings))
	if r.Procedure != "" {
		p.item(bodyIndent, "procedure", r.Procedure)
	}
}

func revisionSupply(r standin.Revision) string {
	low, lowKnown := r.VoltsMin.Get()
	high, highKnown := r.VoltsMax.Get()
	volts := "volts not recorded"
	switch {
	case lowKnown && highKnown:
		volts = figure(low, 1) + " to " + figure(high, 1) + nbsp + "V"
	case lowKnown:
		volts = "from " + figure(low, 1) + nbsp + "V"
	case highKnown:
		volts = "up to " + figure(high, 1) + nbsp + "V"
	}
	hertz, ok := r.Hertz.Get()
	if !ok {
		return volts + ", hertz not recorded"
	}
	var all []string
	for _, h := range hertz {
		all = append(all, figure(h, 1))
	}
	return volts + ", " + list(all, "or") + nbsp + "Hz"
}

// headers are the connectors of a layout with their ways.
func headers(l *standin.Layout) string {
	var all []string
	for _, c := range l.Connectors {
		if n, ok := c.Ways.Get(); ok {
			all = append(all, fmt.Sprintf("%s %s", c.Marking, count(n, "way", "ways")))
		} else {
			all = append(all, c.Marking+" ways not recorded")
		}
	}
	return note(strings.Join(all, ", "))
}

// ratings are the most that circuits may draw, by circuit.
func ratings(amps map[string]standin.Maybe[float64]) string {
	var all []string
	for _, circuit := range slices.Sorted(maps.Keys(amps)) {
		if limit, ok := amps[circuit].Get(); ok {
			all = append(all, circuit+nbsp+figure(limit, 2)+nbsp+"A")
		} else {
			all = append(all, circuit+nbsp+"not recorded")
		}
	}
	return orNone(strings.Join(all, ", "), "not recorded")
}
