package standin

import (
	"fmt"
	"strconv"
	"strings"
)

// Machine is one individual appliance: its model, and what evidence there is of
// its build. Every field but the model is optional.
type Machine struct {
	ModelKey
	Made     Made
	Serial   string
	Position string // of the dead board; empty: not told
	Plug     []int  // ways of connectors seen on the harness
	NoPlug   []int  // ways of which there is no connector on the harness
	OldPart  string // part number or marking on the board that came out
	Location string // where stock is wanted
}

// Made is evidence of when a machine was made: what was typed, and the span of
// days it means. The zero Made is no evidence.
type Made struct {
	Text string
	Span Span
}

// ParsePlug reads the ways of connectors seen on a harness, as "10" or "6 2 2",
// and those it has no connector of, as "no 10": a no holds for what follows it,
// so "6 2 no 10 4" is a 6, a 2, and neither a 10 nor a 4. Commas do as well as
// spaces, case does not count. Empty text is no evidence.
func ParsePlug(text string) (have, lack []int, err error) {
	ways := &have
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '\t' }) {
		if strings.EqualFold(word, "no") {
			ways = &lack
			continue
		}
		n, err := strconv.Atoi(word)
		if err != nil || n < 1 || n > 999 {
			return nil, nil, fmt.Errorf("%q is not a number of ways; write those seen as 10 or 6 2 2, one that is not there as no 10", word)
		}
		*ways = append(*ways, n)
	}
	if ways == &lack && len(lack) == 0 {
		return nil, nil, fmt.Errorf("no is not followed by a number of ways; write a plug that is not there as no 10")
	}
	return have, lack, nil
}

// PlugText are ways as ParsePlug reads them.
func PlugText(have, lack []int) string {
	var words []string
	for _, n := range have {
		words = append(words, strconv.Itoa(n))
	}
	if len(lack) > 0 {
		words = append(words, "no")
	}
	for _, n := range lack {
		words = append(words, strconv.Itoa(n))
	}
	return strings.Join(words, " ")
}

// ParseMade is evidence of a date of making: a date, or an interval of two with
// a slash between them (ISO 8601), as 2001-03/2001-05. An end written .. is
// open (ISO 8601-2), as ../2003-05. Empty text is no evidence.
func ParseMade(text string) (Made, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return Made{}, nil
	}
	first, last, interval := strings.Cut(text, "/")
	if !interval {
		span, err := ParseDate(text)
		return Made{text, span}, err
	}
	from, err := parseEnd(first)
	if err != nil {
		return Made{}, err
	}
	to, err := parseEnd(last)
	if err != nil {
		return Made{}, err
	}
	span := Span{from.From, to.To}
	if !startsBy(span, span.To) {
		return Made{}, fmt.Errorf("%q ends before it begins; write the earlier date first", text)
	}
	return Made{text, span}, nil
}

// openEnd stands for an end of an interval that is not known.
const openEnd = ".."

func parseEnd(text string) (Span, error) {
	if text == openEnd {
		return Span{}, nil
	}
	return ParseDate(text)
}
