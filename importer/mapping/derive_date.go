package mapping

import (
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"standin"
	"standin/importer/table"
)

// dateForm is a form in which a supplier writes dates.
type dateForm struct {
	form    string // as the mapping has it: DD.MM.YYYY
	pattern *regexp.Regexp
}

// dateWords are the parts of a form, longer ones before their own prefixes.
var dateWords = []struct{ word, pattern string }{
	{"YYYY", `(?P<year>\d{4})`}, {"YY", `(?P<short>\d{2})`},
	{"MMM", `(?P<name>\pL{3,})\.?`}, {"MM", `(?P<month>\d{2})`}, {"M", `(?P<month>\d{1,2})`},
	{"DD", `(?P<day>\d{2})`}, {"D", `(?P<day>\d{1,2})`},
	{"WW", `(?P<week>\d{2})`}, {"W", `(?P<week>\d{1,2})`},
}

func (r *yamlReader) dates(n *yaml.Node) []dateForm {
	var all []dateForm
	for _, item := range r.items(n) {
		form := r.text(item)
		f, ok := parseDateForm(form)
		if !ok {
			r.fault(item, "%s is no form of dates; write it with YYYY or YY, MMM, MM or M, DD or D, WW or W, each once: DD.MM.YYYY", table.Quoted(form))
			continue
		}
		all = append(all, f)
	}
	return all
}

func parseDateForm(form string) (dateForm, bool) {
	pattern, seen := "^", map[string]int{}
	for rest := form; rest != ""; {
		matched := false
		for _, w := range dateWords {
			if strings.HasPrefix(rest, w.word) {
				pattern, rest, matched = pattern+w.pattern, rest[len(w.word):], true
				seen[w.word[:1]]++
				break
			}
		}
		if !matched {
			r := []rune(rest)[0]
			pattern, rest = pattern+regexp.QuoteMeta(string(r)), strings.TrimPrefix(rest, string(r))
		}
	}
	compiled, err := regexp.Compile(pattern + "$")
	known := []bool{seen["Y"] == 1, seen["M"] <= 1, seen["D"] <= seen["M"], seen["W"] <= 1, seen["W"]+seen["M"] < 2}
	return dateForm{form, compiled}, err == nil && !slices.Contains(known, false)
}

// read returns the date as a bundle writes it, "" where text is not of this form.
func (d dateForm) read(text string) string {
	m := d.pattern.FindStringSubmatch(apostrophes.Replace(text))
	if m == nil {
		return ""
	}
	part := func(name string) string {
		if i := d.pattern.SubexpIndex(name); i >= 0 {
			return m[i]
		}
		return ""
	}
	date, month := part("year"), part("month")
	if short := part("short"); short != "" {
		date = century(short) + short
	}
	if name := part("name"); name != "" {
		if month = monthNamed(name); month == "" {
			return ""
		}
	}
	if month != "" {
		date = table.ISODate(date, month, part("day"))
	} else if week := part("week"); week != "" {
		date += "-W" + table.TwoDigits(week)
	}
	if _, err := standin.ParseDate(date); err != nil {
		return ""
	}
	return date
}

// century returns the first two digits of a year of two: appliances for which boards are
// kept were made from 1970 on [P].
func century(short string) string {
	if short >= "70" {
		return "19"
	}
	return "20"
}

// monthNamed returns the number of a month by its name or the beginning of it, "" where
// that is none, or two.
func monthNamed(name string) string {
	folded, found := foldWords(name), ""
	for month, number := range trade().cells["month"] {
		if month == folded {
			return number
		}
		if strings.HasPrefix(month, folded) && found != number {
			if found != "" {
				return ""
			}
			found = number
		}
	}
	return found
}

// localDate reads a date in one of the forms, or as a bundle writes it. A text that
// two forms read differently is a fault.
func localDate(forms []dateForm, text string) (string, *table.Fault) {
	var read, names []string
	if _, err := standin.ParseDate(text); err == nil {
		read = append(read, text)
	}
	for _, form := range forms {
		names = append(names, form.form)
		if date := form.read(text); date != "" && !slices.Contains(read, date) {
			read = append(read, date)
		}
	}
	switch len(read) {
	case 0:
		return "", table.BadValue("%s is not a date of the form %s", table.Quoted(text), strings.Join(names, " or "))
	case 1:
		return read[0], nil
	}
	return "", table.BadValue("%s may be %s; the forms of the mapping cannot tell", table.Quoted(text), strings.Join(read, " or "))
}
