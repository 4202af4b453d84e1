package page

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// mostPoints is how many read-back points an address may tell of.
const mostPoints = 200

// toggle is one read-back point to be set to what was seen.
type toggle struct {
	Place   int // from 1
	Name    string
	Field   string // of the form
	Choices []toggleChoice
	ToRead  bool // it still has to be read
}

// toggleChoice is one thing that a point may show.
type toggleChoice struct {
	Value, Word, Shape string
	Chosen             bool
}

// mostKeys is how many things a point may show to have a key each beside its name.
const mostKeys = 4

// Few reports whether what the point may show has a key each; else it is chosen from
// a list.
func (t toggle) Few() bool { return len(t.Choices) <= mostKeys }

// Ticks are the words of what the point may show, on paper.
func (t toggle) Ticks() []string {
	var words []string
	for _, c := range t.Choices {
		if c.Value != string(standin.NotRead) {
			words = append(words, c.Word)
		}
	}
	return words
}

// toggleShapes are seen beside the words: no meaning by colour alone.
var toggleShapes = []toggleChoice{
	{Value: string(standin.ShowsLit), Word: standin.ShownWord(standin.ShowsLit), Shape: "●"}, {Value: string(standin.ShowsUnlit), Word: standin.ShownWord(standin.ShowsUnlit), Shape: "○"},
	{Value: string(standin.ShowsFlashing), Word: standin.ShownWord(standin.ShowsFlashing), Shape: "◐"}, {Value: string(standin.NotRead), Word: "unread", Shape: "?"},
}

// choicesAt are what a point of a family may show, and that it was not read.
func choicesAt(f *standin.Family, point int) []toggleChoice {
	if f.PointShows(point) == lamps {
		return slices.Clone(toggleShapes)
	}
	var choices []toggleChoice
	for _, c := range []byte(f.PointShows(point)) {
		choices = append(choices, showing(f, point, c))
	}
	return append(choices, toggleShapes[len(toggleShapes)-1])
}

// lamps is the alphabet of a point that is a lamp.
const lamps = string(standin.ShowsLit) + string(standin.ShowsUnlit) + string(standin.ShowsFlashing)

// togglesOf are the points of a family in the order they are read. A reading that
// is empty has nothing read.
func togglesOf(f *standin.Family, reading standin.Reading) []toggle {
	toggles := make([]toggle, len(f.Readback))
	for i, name := range f.Readback {
		seen := string(standin.NotRead)
		if i < len(reading) {
			seen = string(reading[i])
		}
		toggles[i] = toggle{Place: i + 1, Name: name, Field: pointField(i)}
		for _, choice := range choicesAt(f, i) {
			choice.Chosen = choice.Value == seen
			toggles[i].Choices = append(toggles[i].Choices, choice)
		}
	}
	return toggles
}

func pointField(i int) string { return "p" + strconv.Itoa(i+1) }

// readPoints takes what was seen out of a request: p1=1, p2=0 and so on. What is
// left is read as ever.
func readPoints(r *http.Request, names []string) (query url.Values, seen map[int]byte, fault *standin.Error) {
	all, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		_, fault := read(r, names) // it says why
		return nil, nil, fault
	}
	seen = map[int]byte{}
	for name, values := range all {
		place, ok := pointPlace(name)
		if !ok {
			continue
		}
		if len(values) > 1 || len(values[0]) != 1 || !mayBeShown(values[0][0]) {
			return nil, nil, bad(name, "%s is %q; it may be given once, as %s, ? not read, or what else the point shows", name, shortened(strings.Join(values, " ")), standin.LampForms)
		}
		seen[place] = values[0][0]
		all.Del(name)
	}
	rest := r.Clone(r.Context())
	rest.URL.RawQuery = all.Encode()
	query, fault = read(rest, names)
	return query, seen, fault
}

// mayBeShown reports whether any read-back point shows such a character.
func mayBeShown(c byte) bool {
	return c == standin.NotRead || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

// pointPlace returns the point, from 0, that a parameter is about, and whether it is
// about one.
func pointPlace(name string) (int, bool) {
	digits, ok := strings.CutPrefix(name, "p")
	n, err := strconv.Atoi(digits)
	return n - 1, ok && err == nil && n >= 1 && n <= mostPoints && strconv.Itoa(n) == digits
}

// readingOf returns what was seen at the points of a family, "" where nothing was
// given.
func readingOf(seen map[int]byte, f *standin.Family) (standin.Reading, *standin.Error) {
	if len(seen) == 0 {
		return "", nil
	}
	reading := []byte(strings.Repeat(string(standin.NotRead), len(f.Readback)))
	for place, c := range seen {
		if place >= len(reading) {
			return "", bad(pointField(place), "%s is given, but there are %d points to read", pointField(place), len(reading))
		}
		choices := choicesAt(f, place)
		if !slices.ContainsFunc(choices, func(t toggleChoice) bool { return t.Value == string(c) }) {
			var may []string
			for _, t := range choices {
				may = append(may, t.Value+" ("+t.Word+")")
			}
			return "", bad(pointField(place), "%s is %q; it may be %s", pointField(place), string(c), standin.AndList(may))
		}
		reading[place] = c
	}
	return standin.Reading(reading), nil
}

// comparedPoint is a point as it was seen beside what it must show.
type comparedPoint struct {
	Place          int
	Name           string
	Seen, Expected toggleChoice
	Differs        bool
}

func comparedPoints(f *standin.Family, reading standin.Reading, pattern standin.Pattern) []comparedPoint {
	var all []comparedPoint
	for i, name := range f.Readback {
		if i >= len(reading) || i >= len(pattern) {
			break
		}
		one := comparedPoint{Place: i + 1, Name: name, Seen: showing(f, i, reading[i]), Expected: showing(f, i, pattern[i])}
		one.Differs = reading[i] != standin.NotRead && pattern[i] != standin.ShowsEither && reading[i] != pattern[i]
		all = append(all, one)
	}
	return all
}

// showing is a character as a person sees it: a lamp by its shape, a digit or a
// letter as it is, a colour by its initial beside its name, never by colour alone.
func showing(f *standin.Family, point int, c byte) toggleChoice {
	one := toggleChoice{Value: string(c), Word: f.Shown(point, c), Shape: strings.ToUpper(string(c))}
	if f.PointShows(point) != lamps && c != standin.NotRead && c != standin.ShowsEither {
		if what, ok := strings.CutPrefix(one.Word, "shows "); ok { // what it shows is said once
			one.Word, one.Shape = what, ""
		}
		if c == standin.ShowsUnlit && one.Word == standin.ShownWord(standin.ShowsUnlit) {
			one.Shape = "○"
		}
		return one
	}
	for _, choice := range toggleShapes {
		if choice.Value == string(c) {
			return choice
		}
	}
	return toggleChoice{Word: standin.ShownWord(standin.ShowsEither), Shape: "–"}
}
