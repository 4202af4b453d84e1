package importer

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"standin"
	"standin/importer/table"
)

// usual is what a column holds in any catalogue of appliances, by common practice:
// wide enough that what lies outside is far more often in another unit, or in the
// wrong column, than right.
type usual struct {
	file, column string
	low, high    float64
	unit         string
	of           string // for loads: the element that it is about; empty: any
}

var usuals = []usual{
	{"loads", "watts", 20, 6_000, "W", string(standin.ElementHeating)},
	{"loads", "watts", 0.1, 5_000, "W", ""},
	{"loads", "volts", 3, 500, "V", ""},
	{"loads", "amps", 0.001, 63, "A", ""},
	{"loads", "ohms_low", 0.1, 1e7, "Ω", ""},
	{"loads", "ohms_high", 0.1, 1e7, "Ω", ""},
	{"ratings", "max_amps", 0.01, 63, "A", ""},
	{"layouts", "pitch_mm", 0.8, 15, "mm", ""},
	{"layouts", "ways", 1, 99, "ways", ""},
	{"revisions", "volts_min", 3, 500, "V", ""},
	{"revisions", "volts_max", 3, 500, "V", ""},
	{"revisions", "hertz", 45, 65, "Hz", ""},
	{"revisions", "issue", 1, 99, "", ""},
	{"models", "hertz", 45, 65, "Hz", ""},
	{"builds", "run_out_days", 0, 1_500, "days", ""},
	{"configurations", "issue_from", 1, 99, "", ""},
	{"configurations", "issue_to", 1, 99, "", ""},
	{"procedures", "hold_seconds", 0, 600, "s", ""},
}

// factors are those by which units are mistaken for each other, with what makes the
// usual one of the other.
var factors = []struct {
	times float64
	said  string
}{
	{1000, "1,000 times as much"}, {0.001, "a thousandth"},
	{25.4, "25.4 times as much, as of inches"}, {0.0254, "0.0254 times as much, as of thousandths of an inch"},
	{10, "10 times as much"}, {0.1, "a tenth"},
}

// appliances have been made in these years, and will have been.
var firstDay, lastDay = standin.NewDate(1950, 1, 1), standin.NewDate(2049, 12, 31)

// plausible are the rules that warn of values no appliance has.
func plausible(file standin.File) []rule {
	var rules []rule
	at := func(name string) int { return slices.Index(table.ColumnNames(file), name) }
	element := at("element")
	for _, u := range usuals {
		if u.file == file.Name {
			rules = append(rules, u.rule(at(u.column), element))
		}
	}
	for c, column := range file.Columns {
		switch {
		case column.Kind == standin.FromDate || column.Kind == standin.ToDate:
			rules = append(rules, ofOurTime(c))
		case column.Kind == standin.VoltsCell:
			rules = append(rules, ofTheMains(c))
		case (column.Kind == standin.Text || column.Kind == standin.Words) && !freeText[column.Name]:
			rules = append(rules, oneAlphabet(c))
		}
	}
	if file.Name == "revisions" {
		rules = append(rules, reasonToStop(at("stop")))
	}
	if file.Name == "procedures" {
		rules = append(rules, somethingToDo(at("do"), at("expect")))
	}
	return rules
}

// warn reports a cell and keeps its value.
func (r *row) warn(at int, f *table.Fault) {
	if !r.shifted && !r.faulty[at] {
		r.intake.report(f, r.line, r.intake.table.File.Columns[at].Name, r.raw[at])
	}
}

func implausible(format string, args ...any) *table.Fault {
	return &table.Fault{Code: standin.Implausible, Message: fmt.Sprintf(format, args...)}
}

func (u usual) rule(at, element int) rule {
	return func(r *row) {
		if u.of != "" && r.cells[element] != u.of || u.of == "" && element >= 0 && u.column == "watts" && r.cells[element] == string(standin.ElementHeating) {
			return
		}
		for _, x := range numbersOf(r.cells[at]) {
			if x == 0 && u.of == "" || u.low <= x && x <= u.high {
				continue
			}
			r.warn(at, implausible("%s", u.sentence(r.raw[at], x)))
			return
		}
	}
}

func numbersOf(cell any) []float64 {
	switch v := cell.(type) {
	case float64:
		return []float64{v}
	case int64:
		return []float64{float64(v)}
	case []float64:
		return v
	}
	return nil
}

func (u usual) sentence(text string, x float64) string {
	what := u.column
	if u.of != "" {
		what += " of a " + u.of + " element"
	}
	said := fmt.Sprintf("%s is far from usual for %s (%s to %s %s)", table.Quoted(text), what, decimal(u.low), decimal(u.high), u.unit)
	said = strings.Replace(said, " )", ")", 1)
	for _, f := range factors {
		if y := x * f.times; u.unit != "" && u.low <= y && y <= u.high {
			return said + ": is it in another unit, or in the wrong column? " + f.said + " would be usual"
		}
	}
	return said + ": is it in the right column?"
}

// ofOurTime warns of days outside the century of appliances.
func ofOurTime(at int) rule {
	return func(r *row) {
		if day, ok := r.cells[at].(standin.Date); ok && !r.faulty[at] && (day < firstDay || day > lastDay) {
			r.warn(at, implausible("%s is no time of appliances (1950 to 2049): is the year right?", table.Quoted(r.raw[at])))
		}
	}
}

// ofTheMains warns of rated voltages that no supply has.
func ofTheMains(at int) rule {
	low := []float64{12, 24, 36, 42, 48}
	return func(r *row) {
		text, ok := r.cells[at].(string)
		if !ok {
			return
		}
		for _, word := range strings.FieldsFunc(text, func(c rune) bool { return c == '-' || c == '/' || c == ' ' }) {
			x, err := strconv.ParseFloat(word, 64)
			if err == nil && (x < 85 || x > 500) && !slices.Contains(low, x) {
				u := usual{column: "volts", low: 85, high: 500, unit: "V"}
				r.warn(at, implausible("%s", u.sentence(r.raw[at], x)))
				return
			}
		}
	}
}

// somethingToDo warns of steps in which something is expected of nothing.
func somethingToDo(do, expect int) rule {
	return func(r *row) {
		if r.raw[do] == "" && r.raw[expect] != "" && !r.faulty[expect] {
			r.warn(expect, implausible("something is expected, but nothing is done: are the columns do and expect exchanged?"))
		}
	}
}

// reasonToStop warns of a stop without a reason: whoever wrote it meant that there is
// none.
func reasonToStop(stop int) rule {
	none := []string{"none", "no", "n", "-", "0", "false"}
	return func(r *row) {
		if slices.Contains(none, strings.ToLower(r.raw[stop])) {
			r.warn(stop, implausible("%s stops the board from being supplied, as any text here does; leave the cell empty where nothing stops it", table.Quoted(r.raw[stop])))
		}
	}
}
