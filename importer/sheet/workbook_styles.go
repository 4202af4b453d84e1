package sheet

import (
	"math"
	"strconv"
	"strings"
	"time"

	"standin/importer/table"
)

// shown is how a style shows a number.
type shown struct {
	date  string // the layout for the parts of a date that are shown: 2006, 2006-01 or 2006-01-02; empty: no date
	clock bool   // the time of day is shown too
	zeros int    // digits that a whole number is filled up to with zeros; 0: none
}

// readStyles are the number formats of the workbook's cell styles.
func (w *Workbook) readStyles() ([]shown, error) {
	main, err := w.mainPart()
	if err != nil {
		return nil, err
	}
	links, err := w.links(main)
	if err != nil {
		return nil, err
	}
	var sheet struct {
		Formats []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Styles []struct {
			Format int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	for _, l := range links {
		if strings.HasSuffix(l.kind, "/styles") {
			if err := w.decode(l.part, &sheet); err != nil {
				return nil, err
			}
		}
	}
	own := map[int]shown{}
	for _, f := range sheet.Formats {
		own[f.ID] = shownBy(f.Code)
	}
	var all []shown
	for _, s := range sheet.Styles {
		how, ok := own[s.Format]
		if !ok {
			how = builtIn(s.Format)
		}
		all = append(all, how)
	}
	return all, nil
}

// builtIn are the formats that have a number and no code in a file (ECMA-376
// part 1, 18.8.30): 14 to 17 are dates, 22 one with the time; those for East
// Asian languages among them.
func builtIn(id int) shown {
	switch {
	case id == 17, id == 55:
		return shown{date: "2006-01"}
	case id == 22:
		return shown{date: time.DateOnly, clock: true}
	case id >= 14 && id <= 16, id >= 27 && id <= 31, id == 36, id >= 50 && id <= 54, id >= 56 && id <= 58:
		return shown{date: time.DateOnly}
	}
	return shown{}
}

// shownBy is how a format's code shows a number. What is quoted, escaped or in
// brackets is no part of a date, nor are the sections after the first.
func shownBy(code string) shown {
	var has strings.Builder
	quoted, bracket := false, false
	for i := 0; i < len(code); i++ {
		switch c := code[i]; {
		case quoted:
			quoted = c != '"'
		case bracket:
			bracket = c != ']'
		case c == '"':
			quoted = true
		case c == '[':
			bracket = true
		case c == '\\', c == '_', c == '*':
			i++
		case c == ';':
			i = len(code)
		default:
			has.WriteByte(c | 0x20)
		}
	}
	plain := strings.ReplaceAll(has.String(), "general", "")
	if plain != "" && strings.Trim(plain, "\x30") == "" { // zeros alone
		return shown{zeros: len(plain)}
	}
	how := shown{clock: strings.ContainsAny(plain, "hs")}
	numeric := strings.ContainsAny(plain, "#?0")
	switch year, day := strings.Contains(plain, "y") || !numeric && strings.Contains(plain, "e"), strings.Contains(plain, "d"); {
	case !year && (numeric || !day): // 0.0E+00, h:mm
		return shown{}
	case day:
		how.date = time.DateOnly
	case strings.Contains(plain, "m"):
		how.date = "2006-01"
	default:
		how.date = "2006"
	}
	return how
}

// number is a number as the cell shows it, as far as a table needs it: dates as
// ISO 8601, whole numbers without a point, no exponents, 15 digits.
func (w *Workbook) number(text string, style int) string {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return text
	}
	var how shown
	if style >= 0 && style < len(w.styles) {
		how = w.styles[style]
	}
	if how.date != "" {
		if at, ok := w.day(x); ok {
			return how.format(at)
		}
	}
	if math.Abs(x) < 1e21 {
		const kept = 15 // digits that spreadsheets keep of a number
		if x, err = strconv.ParseFloat(strconv.FormatFloat(x, 'g', kept, 64), 64); err == nil {
			text = strconv.FormatFloat(x, 'f', -1, 64)
		}
	}
	if missing := how.zeros - len(text); missing > 0 && table.AllDigits(text) {
		text = strings.Repeat("0", missing) + text
	}
	return text
}

func (how shown) format(at time.Time) string {
	if how.clock && how.date == time.DateOnly && at.Format(time.TimeOnly) != "00:00:00" {
		return at.Format(time.DateTime)
	}
	return at.Format(how.date)
}

// day is the time that a number of days stands for. The system of 1900 counts a
// 29 February 1900 that never was; it is no day.
func (w *Workbook) day(x float64) (time.Time, bool) {
	const last = 2958466 // the first day of the year 10000
	zero := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	switch {
	case x < 0 || x >= last || !w.from1904 && (x < 1 || x >= 60 && x < 61):
		return time.Time{}, false
	case w.from1904:
		zero = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	case x < 60:
		zero = zero.AddDate(0, 0, 1)
	}
	whole, part := math.Modf(x)
	seconds := math.Round(part * 24 * 60 * 60)
	return zero.AddDate(0, 0, int(whole)).Add(time.Duration(seconds) * time.Second), true
}
