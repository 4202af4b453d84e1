package standin_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"standin"
)

// caseGenerator makes dossiers out of few words, so that every combination turns
// up: equal plugs, blanks, chains, ranges that touch.
type caseGenerator struct {
	*rand.Rand
	blank float64 // how often an attribute is not recorded
	wild  float64 // how often a connector differs from those in pool
	pool  []standin.Connector
}

// newCase returns the dossier and the machine of a seed.
func newCase(seed uint64) (*standin.Dossier, standin.Machine) {
	g := &caseGenerator{Rand: rand.New(rand.NewPCG(seed, 0))}
	g.blank = pick(g, 0, 0, 0.05, 0.2, 0.5)
	g.wild = pick(g, 0, 0, 0.1, 0.4)
	for range 1 + g.IntN(4) {
		g.pool = append(g.pool, g.kind())
	}
	key := standin.ModelKey{Brand: "Brandless", Model: "M"}
	d := &standin.Dossier{Asked: key, Model: standin.Model{ModelKey: key, Volts: maybe(g, g.plateVolts()), Hertz: maybe(g, pick(g, []float64{50}, []float64{50}, []float64{50}, []float64{60}, []float64{50, 60}))}}
	d.Builds = g.builds()
	if g.chance(0.25) {
		second := g.builds() // of another board of the machine, with labels that occur twice
		for i := range second {
			second[i].Position = "display"
		}
		d.Builds = append(d.Builds, second...)
	}
	d.Model.Made = g.production()
	d.Loads = g.loads(d.Builds)
	boards := g.boards()
	d.Configurations = g.configurations(key, d.Builds)
	d.Presets = g.presets(d.Builds)
	d.Supersessions = g.supersessions()
	for _, b := range boards {
		if _, chained := distances(d, d.Builds)[b.PartNumber]; chained || lookedAt(d, b, nil) {
			d.Boards = append(d.Boards, b)
		}
	}
	d.Adaptors = g.adaptors()
	if g.chance(0.04) {
		g.severalSets(d)
	}
	d.Stock = g.stock(boards, d.Adaptors)
	m := g.machine(d, boards)
	g.besideTheRules(d)
	return d, m
}

// besideTheRules draws what is recorded and answered and may bear on no verdict:
// the class of protection, the ohms of loads, how families are set and read.
func (g *caseGenerator) besideTheRules(d *standin.Dossier) {
	d.Model.Class = pick(g, "", "I", "II", "III")
	for i := range d.Loads {
		low := pick(g, 1.9, 18, 25)
		d.Loads[i].OhmsLow, d.Loads[i].OhmsHigh, d.Loads[i].AtCelsius = maybe(g, low), maybe(g, 1.2*low), maybe(g, pick(g, 20.0, 80))
	}
	d.Families = map[string]*standin.Family{}
	for _, name := range families[1:] {
		f := &standin.Family{Name: name, Method: pick(g, "", standin.MethodSelector, standin.MethodSwitches, standin.MethodJumpers, standin.MethodResistor, standin.MethodChip, standin.MethodTool, standin.MethodContactless), Reversible: maybe(g, g.chance(0.5)),
			Selector: []string{"x", "y"}, CodeLength: 2, Readback: []string{"K1", "K2"}}
		f.Alphabet, _ = standin.ParseAlphabet(pick(g, "", "lamp", "digit", "sign", "red-green", "digit lamp", "lamp red-green"), 2)
		d.Families[name] = f
	}
}

// plateVolts returns rated voltages as plates state them.
func (g *caseGenerator) plateVolts() []standin.VoltRange {
	europe, america := standin.VoltRange{Low: 220, High: 240}, standin.VoltRange{Low: 110, High: 120}
	return pick(g, volts(230).V, volts(230).V, volts(230).V, []standin.VoltRange{europe}, []standin.VoltRange{america, europe}, volts(120).V)
}

func pick[T any](g *caseGenerator, choices ...T) T { return choices[g.IntN(len(choices))] }

func (g *caseGenerator) chance(p float64) bool { return g.Float64() < p }

func maybe[T any](g *caseGenerator, v T) standin.Maybe[T] {
	if g.chance(g.blank) {
		return standin.Maybe[T]{}
	}
	return standin.Known(v)
}

// kind returns a kind of connector of which everything is recorded.
func (g *caseGenerator) kind() standin.Connector {
	circuits := make([]string, pick(g, 1, 2, 2, 3, 6))
	for i := range circuits {
		circuits[i] = pick(g, "heater", "motor", "pump", standin.Unused)
	}
	return standin.Connector{Ways: standin.Known(len(circuits)), PitchMM: standin.Known(pick(g, 2.5, 5)), Key: standin.Known(pick(g, "A", "B")),
		Circuits: standin.Known(circuits)}
}

// connector returns one of the pool, with blanks, or with one attribute changed.
func (g *caseGenerator) connector(marking string) standin.Connector {
	c := pick(g, g.pool...)
	if g.chance(g.wild) {
		other := g.kind()
		switch g.IntN(3) {
		case 0:
			c.PitchMM = other.PitchMM
		case 1:
			c.Key = other.Key
		case 2:
			c.Ways, c.Circuits = other.Ways, other.Circuits
		}
	}
	return standin.Connector{Marking: marking, Ways: maybe(g, c.Ways.V), PitchMM: maybe(g, c.PitchMM.V), Key: maybe(g, c.Key.V), Circuits: maybe(g, c.Circuits.V)}
}

func (g *caseGenerator) layout(name string, connectors int) *standin.Layout {
	l := &standin.Layout{Name: name}
	for i := range connectors {
		l.Connectors = append(l.Connectors, g.connector(fmt.Sprint("CN", i+1)))
	}
	return l
}

func (g *caseGenerator) layoutOrNone(name string, connectors int) *standin.Layout {
	if g.chance(g.blank) {
		return nil
	}
	return g.layout(name, connectors)
}

// builds returns builds that follow each other, now and then with a gap. Either
// end of the sequence may be open, and now and then a build has no dates.
func (g *caseGenerator) builds() (builds []standin.Build) {
	serials := pick(g, nil, nil, serialNumbers, serialTexts, append(serialNumbers, serialTexts...))
	start := standin.NewDate(1998+g.IntN(3), 1, 1)
	count := g.IntN(5)
	for i := range count {
		b := standin.Build{Label: string(rune('a' + i)), RunOutDays: pick(g, 0, 0, 30, 400),
			Layout: g.layoutOrNone("harness "+string(rune('a'+i)), 1+g.IntN(3)), Needs: maybe(g, g.options())}
		end := start + standin.Date(200+g.IntN(800))
		b.Made = standin.Days(start, end)
		start = end + 1 + standin.Date(pick(g, 0, 0, 90))
		if i == 0 && g.chance(0.3) || g.chance(g.blank/2) {
			b.Made.From = standin.Maybe[standin.Date]{}
		}
		if i == count-1 && g.chance(0.3) || g.chance(g.blank/2) {
			b.Made.To = standin.Maybe[standin.Date]{}
		}
		if len(serials) > 0 && g.chance(0.8) {
			b.SerialFrom, b.SerialTo = pick(g, serials...), pick(g, serials...)
		}
		if g.chance(0.8) {
			b.PartNumber = pick(g, parts...)
			b.Revision = pick(g, "", "r1", "r2")
		}
		builds = append(builds, b)
	}
	return builds
}

var (
	serialNumbers = []string{"", "99", "0100", "100", "0499", "500"}
	serialTexts   = []string{"", "AB10", "AB19", "AB200", "B", "A1"}
	parts         = []string{"P1", "P2", "P3", "P4", "P5", "P6"} // P6 is no board of the catalogue
	families      = []string{"", "F1", "F2"}
	labelsOfParts = []string{"r1", "r2", "r3"}
)

func (g *caseGenerator) options() []string {
	return pick(g, nil, []string{"hot"}, []string{"hot"}, []string{"hot", "cold"})
}

// production returns the model's production span, at times open.
func (g *caseGenerator) production() (s standin.Span) {
	if !g.chance(0.2) {
		s.From = standin.Known(standin.NewDate(1996+g.IntN(5), 1, 1))
	}
	if !g.chance(0.2) {
		s.To = standin.Known(standin.NewDate(2002+g.IntN(12), 6, 30))
	}
	return s
}

// buildOf returns the label of a build, or "" for all builds.
func (g *caseGenerator) buildOf(builds []standin.Build) string {
	if len(builds) == 0 || g.chance(0.5) {
		return ""
	}
	return pick(g, builds...).Label
}

// once returns a function that reports whether it is called with these words for
// the first time.
func once() func(words ...string) bool {
	seen := map[string]bool{}
	return func(words ...string) bool {
		key := fmt.Sprintf("%q", words)
		was := seen[key]
		seen[key] = true
		return !was
	}
}

func (g *caseGenerator) loads(builds []standin.Build) (loads []standin.Load) {
	first := once()
	for range pick(g, 0, 1, 3, 6, 9) {
		l := standin.Load{Position: pick(g, "", "", "", "control", "display"), Build: g.buildOf(builds), Circuit: pick(g, "heater", "motor", "pump"),
			Watts: maybe(g, pick(g, 460.0, 690, 2300)), Element: pick(g, standin.ElementOther, standin.ElementHeating, standin.ElementMotor, standin.ElementNotRecorded)}
		if g.chance(0.3) {
			l.PowerFactor = standin.Known(pick(g, 0.5, 0.6, 0.95))
		}
		if g.chance(0.2) {
			l.Amps = standin.Known(pick(g, 2.0, 2.5, 10, 12))
		}
		if g.chance(0.3) {
			l.Volts = standin.Known(pick(g, 230.0, 115))
		}
		if first(strings.TrimPrefix(l.Position, "control"), l.Build, l.Circuit) {
			loads = append(loads, l)
		}
	}
	return loads
}

func (g *caseGenerator) boards() (boards []standin.Board) {
	for _, part := range parts[:5] {
		b := standin.Board{PartNumber: part, Family: pick(g, families...), Title: "board " + part, Position: pick(g, "", "", "", "control", "display")}
		for _, label := range labelsOfParts[:1+g.IntN(3)] {
			b.Revisions = append(b.Revisions, g.revision(label))
		}
		boards = append(boards, b)
	}
	return boards
}

func (g *caseGenerator) revision(label string) standin.Revision {
	r := standin.Revision{Label: label, Issue: maybe(g, 1+g.IntN(4)), Layout: g.layoutOrNone("board", 1+g.IntN(5)), Options: maybe(g, g.options()),
		VoltsMin: maybe(g, pick(g, 207.0, 207, 207, 207, 90, 230, 90)), VoltsMax: maybe(g, pick(g, 253.0, 253, 253, 253, 253, 264, 230, 126)),
		Hertz: maybe(g, pick(g, []float64{50, 60}, []float64{50, 60}, []float64{50, 60}, []float64{50, 60}, []float64{50}, []float64{60})), Ratings: map[string]standin.Maybe[float64]{}}
	if g.chance(0.05) {
		r.Stop = "recalled"
	}
	for _, circuit := range []string{"heater", "motor", "pump"} {
		if g.chance(0.7) {
			r.Ratings[circuit] = maybe(g, pick(g, 2.0, 3, 4, 10, 10, 16, 16))
		}
	}
	return r
}

// configurations returns configurations whose ranges of issues never overlap for a
// family and build: the issues are cut in up to three, and some ranges left out.
func (g *caseGenerator) configurations(key standin.ModelKey, builds []standin.Build) (all []standin.Configuration) {
	for _, family := range families[1:] {
		scopes := []string{""}
		for _, b := range builds {
			if !slices.Contains(scopes, b.Label) {
				scopes = append(scopes, b.Label)
			}
		}
		for _, build := range scopes {
			if g.chance(0.5) {
				continue
			}
			var from standin.Maybe[int]
			for cut := 1 + g.IntN(2); ; cut += 1 + g.IntN(2) {
				c := standin.Configuration{Family: family, Model: key, Build: build, IssueFrom: from, IssueTo: standin.Known(cut),
					Code: pick(g, nil, []string{"x", "y"}, []string{"x", "y"}, []string{"y", "x"}), Pattern: pick(g, standin.Pattern("10"), "10", "1f", "")}
				last := cut > 3 || g.chance(0.5)
				if last {
					c.IssueTo = standin.Maybe[int]{}
				}
				if !g.chance(0.15) {
					all = append(all, c)
				}
				if last {
					break
				}
				from = standin.Known(cut + 1)
			}
		}
	}
	g.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	return all
}

func (g *caseGenerator) presets(builds []standin.Build) (presets []standin.Preset) {
	first := once()
	for range g.IntN(3) {
		p := standin.Preset{PartNumber: pick(g, parts...), Build: g.buildOf(builds)}
		if first(p.PartNumber, p.Build) {
			presets = append(presets, p)
		}
	}
	return presets
}

// supersessions returns links that never form a circle of one-way links: new comes
// after old in one order of the parts.
func (g *caseGenerator) supersessions() (links []standin.Supersession) {
	first := once()
	order := g.Perm(len(parts))
	for range g.IntN(6) {
		old, new := g.IntN(len(parts)), g.IntN(len(parts))
		if old < new && first(parts[order[old]], parts[order[new]]) {
			links = append(links, standin.Supersession{Old: parts[order[old]], New: parts[order[new]], TwoWay: g.chance(0.4)})
		}
	}
	return links
}

// severalSets changes the dossier to one in which one adaptor serves several
// harnesses and each of the others serves one.
func (g *caseGenerator) severalSets(d *standin.Dossier) {
	both, free := wired("CN1", "heater", "motor"), standin.Unused
	one := []standin.Connector{wired("CN1", "heater", free), wired("CN1", free, "motor"), both}
	for i := range d.Builds {
		d.Builds[i].Layout = layout("harness", pick(g, one...))
	}
	for _, b := range d.Boards {
		for i := range b.Revisions {
			b.Revisions[i].Layout = layout("board", wired("CN1", "heater", "motor", free))
		}
	}
	d.Adaptors = nil
	for i := range 2 + g.IntN(3) {
		d.Adaptors = append(d.Adaptors, standin.Adaptor{PartNumber: fmt.Sprint("L", i), Takes: layout("takes", pick(g, one...)),
			Gives: layout("gives", wired("P1", "heater", "motor", free))})
	}
}

// adaptors returns adaptors of which at times several do the same.
func (g *caseGenerator) adaptors() (adaptors []standin.Adaptor) {
	for i := range pick(g, 0, 1, 1, 2, 3, 3, 4) {
		a := standin.Adaptor{PartNumber: fmt.Sprint("L", (i*3+2)%5), Takes: g.layout("takes", pick(g, 1, 1, 2)), Gives: g.layout("gives", pick(g, 1, 1, 2, 3))}
		if i > 0 && g.chance(0.3) {
			a.Takes = adaptors[i-1].Takes
		}
		if i > 0 && g.chance(0.3) {
			a.Gives = adaptors[i-1].Gives
		}
		adaptors = append(adaptors, a)
	}
	return adaptors
}

func (g *caseGenerator) stock(boards []standin.Board, adaptors []standin.Adaptor) (stock []standin.Stock) {
	first := once()
	add := func(part, revision string) {
		s := standin.Stock{Location: pick(g, "north", "south"), PartNumber: part, Revision: revision,
			Condition: pick(g, "new", "refurbished", "used"), Quantity: 3, Free: pick(g, 0, 1, 3)}
		if first(s.Location, s.PartNumber, s.Revision, s.Condition) {
			stock = append(stock, s)
		}
	}
	for range g.IntN(12) {
		b := pick(g, boards...)
		add(b.PartNumber, pick(g, "", pick(g, b.Revisions...).Label))
	}
	for range g.IntN(4) {
		if len(adaptors) > 0 {
			add(pick(g, adaptors...).PartNumber, "")
		}
	}
	return stock
}
