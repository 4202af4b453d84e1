package standin

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
)

// synthetic is an invented family whose true map from codes to patterns is
// known: 4 places, a selector of 12 symbols of which 3 to 7 are in use at each
// place, 14 points, of which 85 % depend on one place and the others on two.
type synthetic struct {
	rng    *rand.Rand
	family *Family
	inUse  [][]int // symbols in use at each place
	points []synthPoint
}

type synthPoint struct {
	places []int
	shows  [12][12]byte // by the symbols at the places; one place: the first row
}

const (
	synthPlaces = 4
	synthPoints = 14
	synthDial   = 12
)

func newSynthetic(seed uint64) *synthetic {
	rng := rand.New(rand.NewPCG(seed, 0x5eed))
	s := &synthetic{rng: rng, family: &Family{Name: "synthetic " + strconv.FormatUint(seed, 10), CodeLength: synthPlaces}}
	for i := range synthDial {
		s.family.Selector = append(s.family.Selector, string(rune('A'+i)))
	}
	for range synthPlaces {
		s.inUse = append(s.inUse, rng.Perm(synthDial)[:3+rng.IntN(5)])
	}
	for i := range synthPoints {
		s.family.Readback = append(s.family.Readback, fmt.Sprintf("P%d", i+1))
		s.points = append(s.points, s.newPoint())
	}
	return s
}

func (s *synthetic) newPoint() synthPoint {
	places := s.rng.Perm(synthPlaces)[:1]
	if s.rng.Float64() >= 0.85 {
		places = s.rng.Perm(synthPlaces)[:2]
		slices.Sort(places)
	}
	p := synthPoint{places: places}
	for a := range synthDial {
		for b := range synthDial {
			p.shows[a][b] = "01"[s.rng.IntN(2)]
		}
	}
	return p
}

func (p *synthPoint) at(code []int) byte {
	if len(p.places) == 1 {
		return p.shows[0][code[p.places[0]]]
	}
	return p.shows[code[p.places[0]]][code[p.places[1]]]
}

func (s *synthetic) pattern(code []int) Pattern {
	shows := make([]byte, len(s.points))
	for i := range s.points {
		shows[i] = s.points[i].at(code)
	}
	return Pattern(shows)
}

func (s *synthetic) symbols(code []int) []string {
	symbols := make([]string, len(code))
	for i, c := range code {
		symbols[i] = s.family.Selector[c]
	}
	return symbols
}

func (s *synthetic) randomCode() []int {
	code := make([]int, synthPlaces)
	for i, used := range s.inUse {
		code[i] = used[s.rng.IntN(len(used))]
	}
	return code
}

// record returns n correctly recorded configurations. Their codes differ as long
// as there are codes left.
func (s *synthetic) record(n int) []Configuration {
	seen := map[string]bool{}
	var rows []Configuration
	for tries := 0; len(rows) < n; tries++ {
		code := s.randomCode()
		key := fmt.Sprint(code)
		if seen[key] && tries < 20*n {
			continue
		}
		seen[key] = true
		rows = append(rows, Configuration{Family: s.family.Name,
			Model: ModelKey{Brand: "Synthetic", Model: fmt.Sprintf("M%d", len(rows)+1)},
			Code:  s.symbols(code), Pattern: s.pattern(code)})
	}
	return rows
}

// misprint plants n misprints, half of them a wrong point of the pattern, half
// a symbol of the code that is another in use at its place; it returns their
// indices.
func (s *synthetic) misprint(rows []Configuration, n int) map[int]bool {
	planted := map[int]bool{}
	for _, i := range s.rng.Perm(len(rows))[:n] {
		planted[i] = true
		if s.rng.IntN(2) == 0 {
			p := []byte(rows[i].Pattern)
			at := s.rng.IntN(len(p))
			p[at] ^= '0' ^ '1'
			rows[i].Pattern = Pattern(p)
			continue
		}
		place := s.rng.IntN(synthPlaces)
		was := rows[i].Code[place]
		code := slices.Clone(rows[i].Code)
		for code[place] == was {
			used := s.inUse[place]
			code[place] = s.family.Selector[used[s.rng.IntN(len(used))]]
		}
		rows[i].Code = code
	}
	return planted
}

// slipCase is one code meant, one slip, and what was read.
type slipCase struct {
	meant, entered []int
	reading        Reading
}

// drawSlip is a code with one slip: half to a neighbour on the dial, three
// tenths to any symbol, two tenths an exchange of neighbours.
func (s *synthetic) drawSlip(meant []int) []int {
	code := slices.Clone(meant)
	switch draw := s.rng.Float64(); {
	case draw < 0.5:
		step := 1 + s.rng.IntN(2)*(synthDial-2)
		place := s.rng.IntN(synthPlaces)
		code[place] = (code[place] + step) % synthDial
	case draw < 0.8:
		code[s.rng.IntN(synthPlaces)] = s.rng.IntN(synthDial)
	default:
		place := s.rng.IntN(synthPlaces - 1)
		code[place], code[place+1] = code[place+1], code[place]
	}
	return code
}

// likeliestSlip is the greatest chance of one slip: to a certain neighbour.
const likeliestSlip = 0.5/synthPlaces/2 + 0.3/synthPlaces/synthDial

// slipChance is the chance that drawSlip turns meant into entered.
func slipChance(meant, entered []int) float64 {
	chance := 0.0
	var differ []int
	for i := range meant {
		if meant[i] != entered[i] {
			differ = append(differ, i)
		}
	}
	switch {
	case len(differ) == 1:
		i := differ[0]
		chance = 0.3 / synthPlaces / synthDial
		if between := (meant[i] - entered[i] + synthDial) % synthDial; between == 1 || between == synthDial-1 {
			chance += 0.5 / synthPlaces / 2
		}
	case len(differ) == 2 && differ[1] == differ[0]+1 &&
		meant[differ[0]] == entered[differ[1]] && meant[differ[1]] == entered[differ[0]]:
		chance = 0.2 / (synthPlaces - 1)
	}
	return chance
}

// slipCodes returns all codes that drawSlip may turn meant into, except meant
// itself.
func slipCodes(meant []int) [][]int {
	var codes [][]int
	for place := range meant {
		for symbol := range synthDial {
			if symbol != meant[place] {
				code := slices.Clone(meant)
				code[place] = symbol
				codes = append(codes, code)
			}
		}
		if next := place + 1; next < len(meant) && meant[place] != meant[next] {
			code := slices.Clone(meant)
			code[place], code[next] = code[next], code[place]
			codes = append(codes, code)
		}
	}
	return codes
}

// drawCase returns a case with this many points misread (0 or 1), and whether it
// can be diagnosed at all: the slip shows, the reading differs, and the table says
// what the code entered shows.
func (s *synthetic) drawCase(t *Table, m *CodeMap, misread int) (slipCase, bool) {
	meant := s.dialled(t.configurations[s.rng.IntN(len(t.configurations))].Code)
	c := slipCase{meant: meant, entered: s.drawSlip(meant)}
	seen := []byte(s.pattern(c.entered))
	for range misread {
		seen[s.rng.IntN(len(seen))] ^= '0' ^ '1'
	}
	c.reading = Reading(seen)
	own := s.pattern(meant)
	return c, s.pattern(c.entered) != own && Pattern(seen) != own && s.mapKnows(t, m, c.entered)
}

// mapKnows reports whether the table says all of what a code shows.
func (s *synthetic) mapKnows(t *Table, m *CodeMap, code []int) bool {
	if len(t.settingsOf(t.onDial(s.symbols(code)))) > 0 {
		return true
	}
	for place, symbol := range code {
		if !t.seen[place][symbol] {
			return false
		}
	}
	p, err := m.Predict(s.symbols(code))
	return err == nil && !slices.Contains([]byte(p), NotRead)
}

func (s *synthetic) dialled(symbols []string) []int {
	code := make([]int, len(symbols))
	for i, symbol := range symbols {
		code[i] = slices.Index(s.family.Selector, symbol)
	}
	return code
}
