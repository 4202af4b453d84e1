// Package generate makes catalogues of any size up, for tests and benchmarks:
// valid by construction, realistic in shape, invented throughout. What it makes is
// decided by the seed alone, row by row, so that nothing is held in memory.
package generate

import (
	"fmt"
	"iter"
	"math/rand/v2"
	"strconv"

	"standin"
	"standin/importer"
)

// Catalogue says what is generated. Models are appliance models, twins not counted.
type Catalogue struct {
	Models, Configurations int
	Seed                   uint64
}

// Write writes the bundle to a folder or a zip, see importer.Create.
func (c Catalogue) Write(path string) error {
	w, err := importer.Create(path)
	if err != nil {
		return err
	}
	defer w.Discard() // after Close it does nothing
	for _, file := range standin.Files {
		if _, err := w.Write(file, withoutErrors(c.Rows(file.Name))); err != nil {
			return err
		}
	}
	return w.Close()
}

func withoutErrors(rows iter.Seq[[]string]) iter.Seq2[[]string, error] {
	return func(yield func([]string, error) bool) {
		for row := range rows {
			if !yield(row, nil) {
				return
			}
		}
	}
}

// Rows are the rows of a file, named as in standin.Files, as a bundle writes them.
func (c Catalogue) Rows(file string) iter.Seq[[]string] {
	write := map[string]func(p *plan, row func(cells ...string) bool){
		"sources": sources, "procedures": procedures, "families": families, "layouts": layouts, "adaptors": adaptors,
		"boards": boards, "revisions": revisions, "markings": markings, "ratings": ratings, "supersessions": supersessions,
		"serial_rules": serialRules, "models": models, "twins": twins, "builds": builds, "loads": loads,
		"configurations": configurations, "presets": presets, "stock": stock,
	}[file]
	return func(yield func([]string) bool) {
		if write != nil {
			write(newPlan(c), func(cells ...string) bool { return yield(cells) })
		}
	}
}

// plan is how many there are of what. All else follows from an index and the seed.
type plan struct {
	Catalogue
	families int
	layouts  int // in pairs: a harness, and the same with its wide plug split
	fixed    int // chains of fixed boards
	sources  int
	drawn    map[int]*family
}

func newPlan(c Catalogue) *plan {
	p := &plan{Catalogue: c, sources: 3 + c.Models/2000, drawn: map[int]*family{}}
	p.families = max(3, min(500, c.Configurations/2000))
	if c.Models > 0 {
		p.families = max(p.families, 2+c.Configurations/c.Models) // so that no model runs out of them
	}
	p.layouts = 2 * max(2, min(200, c.Models/400))
	p.fixed = max(1, c.Models/200)
	return p
}

// What is drawn of a thing is drawn from its own source, told apart by kind.
const (
	ofFamily = iota
	ofRun
	ofModel
	ofLayout
	ofStock
)

// draw is the random source of one thing.
func (p *plan) draw(kind, i int) draw {
	return draw{rand.New(rand.NewPCG(p.Seed, uint64(kind)<<56|uint64(i)))}
}

type draw struct{ *rand.Rand }

// once in n on average.
func (d draw) once(n int) bool { return d.IntN(n) == 0 }

func (d draw) pick(all ...string) string { return all[d.IntN(len(all))] }

// mostly is the text, or nothing, as it happens with records, once in ten.
func (d draw) mostly(text string) string {
	if d.once(10) {
		return ""
	}
	return text
}

func number(n int) string { return strconv.Itoa(n) }

func sources(p *plan, row func(...string) bool) {
	for i := range p.sources {
		if !row(sourceName(i), fmt.Sprintf("Service table %d", i+1), fmt.Sprintf("%d-0%d-15", 1995+i%25, 1+i%9), "") {
			return
		}
	}
}

func sourceName(i int) string { return fmt.Sprintf("table-%03d", i+1) }

func serialRules(_ *plan, row func(...string) bool) {
	for _, r := range [][]string{
		{"year-week", `^(?P<y2>\d\d)(?P<w>\d\d)\d{5}$`, "", "two digits of the year, then the week"},
		{"letters", `^(?P<yl>[A-HJ-NPR-X])(?P<ml>[1-9OND])\d{6}$`, "", "letters of year and month"},
		{"day", `^(?P<y1>\d)(?P<d>\d{3})\d{4}$`, "", "last digit of the year, then the day"},
	} {
		if !row(r...) {
			return
		}
	}
}
