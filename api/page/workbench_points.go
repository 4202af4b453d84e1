package page

import (
	"net/http"
	"net/url"
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

// togglesOf are the points in the order they are read. A reading that is empty
// has nothing read.
func togglesOf(points []string, reading standin.Reading) []toggle {
	toggles := make([]toggle, len(points))
	for i, name := range points {
		seen := string(standin.NotRead)
		if i < len(reading) {
			seen = string(reading[i])
		}
		toggles[i] = toggle{Place: i + 1, Name: name, Field: pointField(i)}
		for _, choice := range toggleShapes {
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
		if len(values) > 1 || len(values[0]) != 1 || !strings.Contains("10f?", values[0]) {
			return nil, nil, bad(name, "%s is %q; it may be 1 (lit), 0 (unlit), f (flashing) or ? (unread), once", name, shortened(strings.Join(values, " ")))
		}
		seen[place] = values[0][0]
		all.Del(name)
	}
	rest := r.Clone(r.Context())
	rest.URL.RawQuery = all.Encode()
	query, fault = read(rest, names)
	return query, seen, fault
}

// pointPlace is the place from 0 that a parameter tells of, if it does.
func pointPlace(name string) (int, bool) {
	digits, ok := strings.CutPrefix(name, "p")
	n, err := strconv.Atoi(digits)
	return n - 1, ok && err == nil && n >= 1 && n <= mostPoints && strconv.Itoa(n) == digits
}

// readingOf is what was seen at so many points, empty where nothing was told.
func readingOf(seen map[int]byte, points int) (standin.Reading, *standin.Error) {
	if len(seen) == 0 {
		return "", nil
	}
	reading := []byte(strings.Repeat(string(standin.NotRead), points))
	for place, c := range seen {
		if place >= points {
			return "", bad(pointField(place), "%s is told, and there are %d points to read", pointField(place), points)
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

func comparedPoints(points []string, reading standin.Reading, pattern standin.Pattern) []comparedPoint {
	var all []comparedPoint
	for i, name := range points {
		if i >= len(reading) || i >= len(pattern) {
			break
		}
		one := comparedPoint{Place: i + 1, Name: name, Seen: showing(reading[i]), Expected: showing(pattern[i])}
		one.Differs = reading[i] != standin.NotRead && pattern[i] != standin.ShowsEither && reading[i] != pattern[i]
		all = append(all, one)
	}
	return all
}

func showing(c byte) toggleChoice {
	for _, choice := range toggleShapes {
		if choice.Value == string(c) {
			return choice
		}
	}
	return toggleChoice{Word: standin.ShownWord(standin.ShowsEither), Shape: "–"}
}
