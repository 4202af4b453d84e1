package importer_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"standin"
	"standin/api"
	"standin/cmd/standin/demo"
	"standin/importer"
	"standin/importer/generate"
	"standin/importer/importertest"
	"standin/importer/table"
)

// The measuring device: faults of many kinds are planted at random in exported
// catalogues, and each is imported into the catalogue it was exported from and into
// an empty one. What becomes of it:
type outcome int

const (
	refused   outcome = iota // it has an error
	warned                   // there is a new finding about a row or a column in which it was planted
	elsewhere                // there is a new finding, about what does not go together with it
	harmless                 // no answer of any model changes
	silent                   // an answer changes, and nobody is told
)

var outcomeNames = []string{"refused", "warned", "elsewhere", "harmless", "SILENT"}

// Without STANDIN_TEST_FAULTS, one fault of each kind is planted in the demo catalogue,
// or where that has no place for it, in a generated one. With it, so many are planted in
// both. STANDIN_TEST_FAULT plants only the kinds that have it in their name.
var (
	plantsAKind, _ = strconv.Atoi(os.Getenv("STANDIN_TEST_FAULTS"))
	onlyKind       = os.Getenv("STANDIN_TEST_FAULT")
)

// grid is a file of a bundle as cells.
type grid struct {
	header []string
	rows   [][]string
}

func (g *grid) at(column string) int { return slices.Index(g.header, column) }

func (g *grid) clone() *grid {
	c := &grid{header: slices.Clone(g.header)}
	for _, row := range g.rows {
		c.rows = append(c.rows, slices.Clone(row))
	}
	return c
}

func (g *grid) csv() string {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(g.header)
	_ = w.WriteAll(g.rows)
	return b.String()
}

// exported is a catalogue as its files, by name without the ending.
type exported map[string]*grid

func (e exported) bundle() map[string]string {
	all := map[string]string{}
	for name, g := range e {
		all[name+".csv"] = g.csv()
	}
	return all
}

func (e exported) rowCount() (n int) {
	for _, g := range e {
		n += len(g.rows)
	}
	return n
}

// machines are the models and the twins, each without further evidence.
func (e exported) machines() (all []standin.Machine) {
	for _, name := range []string{"models", "twins"} {
		if e[name] == nil {
			continue
		}
		for _, row := range e[name].rows {
			all = append(all, standin.Machine{ModelKey: standin.ModelKey{Brand: row[0], Model: row[1], Variant: row[2]}})
		}
	}
	return all
}

func generated(c generate.Catalogue) exported {
	e := exported{}
	for _, f := range standin.Files {
		g := &grid{header: table.ColumnNames(f)}
		for row := range c.Rows(f.Name) {
			g.rows = append(g.rows, slices.Clone(row))
		}
		if len(g.rows) > 0 {
			e[f.Name] = g
		}
	}
	return e
}

func demonstration(t *testing.T) exported {
	t.Helper()
	e := exported{}
	for _, f := range standin.Files {
		text, err := fs.ReadFile(demo.Bundle, demo.BundleDir+"/"+f.Name+".csv")
		if err != nil {
			continue
		}
		records, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		importertest.Must(t, err)
		e[f.Name] = &grid{header: records[0], rows: records[1:]}
	}
	return e
}

// trial is one database in which faults are tried: it holds the clean catalogue, or
// nothing.
type trial struct {
	clean    exported
	store    database
	machines []standin.Machine
	stored   bool
	baseline map[string]int // findings about the clean catalogue
	answers  []uint64       // by machine
}

func newTrial(t *testing.T, clean exported, stored bool) *trial {
	t.Helper()
	tr := &trial{clean: clean, store: openDatabase(t), machines: clean.machines(), stored: stored, baseline: map[string]int{}}
	report := tr.run(t, tr.clean.bundle(), importer.Options{})
	if !report.Committed {
		t.Fatalf("the clean catalogue: %s\n%s", report.Summary(), importertest.FindingLines(report))
	}
	tr.answers = tr.ask(t)
	if !stored {
		for _, f := range report.Findings {
			tr.baseline[withoutLine(f)]++
		}
		tr.undo(t, report.Import.ID)
	}
	return tr
}

func withoutLine(f standin.Finding) string {
	f.Line = 0
	return fmt.Sprintf("%+v", f)
}

func (tr *trial) run(t *testing.T, bundle map[string]string, o importer.Options) *importer.Report {
	t.Helper()
	report, err := importer.Run(t.Context(), tr.store, []string{importertest.Folder(t, bundle)}, o)
	importertest.Must(t, err)
	return report
}

func (tr *trial) undo(t *testing.T, id int64) {
	t.Helper()
	if id == 0 {
		return
	}
	if _, err := tr.store.Undo(t.Context(), id, standin.UndoRequest{By: "test"}); err != nil {
		t.Fatal(err)
	}
}

// ask is what every machine is answered, as a sum each. What is not decided by, such
// as titles, is part of it too; the version of the catalogue is not.
func (tr *trial) ask(t *testing.T) []uint64 {
	t.Helper()
	results, err := standin.Ask(t.Context(), tr.store, tr.machines)
	importertest.Must(t, err)
	sums := make([]uint64, len(results))
	for i, r := range results {
		h := fnv.New64a()
		if r.Err != nil {
			fmt.Fprint(h, r.Err.Code)
		} else {
			encoded := api.EncodeAnswer(r.Answer, true)
			encoded.CatalogueVersion, encoded.ModelID = 0, 0
			importertest.Must(t, json.NewEncoder(h).Encode(encoded))
		}
		sums[i] = h.Sum64()
	}
	return sums
}

// judge tries a planted fault. It also returns what was found.
func (tr *trial) judge(t *testing.T, p *planting) (outcome, string, []standin.Finding) {
	t.Helper()
	bundle := map[string]string{}
	if !tr.stored {
		bundle = tr.clean.bundle()
	}
	for name, text := range p.texts() {
		bundle[name] = text
	}
	options := importer.Options{Check: true, Replace: p.replace}
	if !tr.stored {
		options.Replace = nil
	}
	report := tr.run(t, bundle, options)
	if report.Errors > 0 {
		return refused, importertest.FindingLines(report), report.Findings
	}
	if o, found := tr.about(report, p); found != "" {
		return o, found, report.Findings
	}
	options.Check = false
	report = tr.run(t, bundle, options)
	changed := 0
	for i, sum := range tr.ask(t) {
		if sum != tr.answers[i] {
			changed++
		}
	}
	tr.undo(t, report.Import.ID)
	if changed == 0 {
		return harmless, "", nil
	}
	return silent, fmt.Sprintf("%d answers change", changed), nil
}

// about is the first finding about what was planted that the clean catalogue has not,
// else the first other one.
func (tr *trial) about(report *importer.Report, p *planting) (o outcome, said string) {
	left := maps.Clone(tr.baseline)
	for _, f := range report.Findings {
		if key := withoutLine(f); left[key] > 0 {
			left[key]--
			continue
		}
		found := fmt.Sprintf("%s:%d %s %s: %s", f.File, f.Line, f.Column, f.Code, f.Message)
		if p.isAbout(f) {
			return warned, found
		}
		o, said = elsewhere, found
	}
	return o, said
}

// tally counts outcomes by kind.
type tally struct {
	sync.Mutex
	counts map[string]*[5]int
	told   map[string][]string

	right, wrong map[string]int // corrections offered, by kind
}

func (y *tally) add(kind string, stored bool, o outcome, told string) {
	y.Lock()
	defer y.Unlock()
	if y.counts[kind] == nil {
		y.counts[kind] = &[5]int{}
	}
	y.counts[kind][o]++
	if o == silent || testing.Verbose() {
		y.told[kind] = append(y.told[kind], fmt.Sprintf("stored %t: %s: %s", stored, outcomeNames[o], told))
	}
}

func (y *tally) addCorrection(kind string, p *planting, found []standin.Finding) {
	y.Lock()
	defer y.Unlock()
	switch offered, right := p.corrected(found); {
	case offered && right:
		y.right[kind]++
	case offered:
		y.wrong[kind]++
		y.told[kind] = append(y.told[kind], fmt.Sprintf("a wrong correction; %v was %q", found, p.original))
	}
}

// No fault of any kind changes an answer without a word, but for the share stated
// with its kind.
func TestFaultsAreNoticed(t *testing.T) {
	t.Parallel()
	catalogues := map[string]exported{
		"demo":      demonstration(t),
		"generated": generated(generate.Catalogue{Models: 80, Configurations: 400, Seed: 5}),
	}
	y := &tally{counts: map[string]*[5]int{}, told: map[string][]string{}, right: map[string]int{}, wrong: map[string]int{}}
	t.Run("plant", func(t *testing.T) {
		for name, clean := range catalogues {
			for _, stored := range []bool{true, false} {
				t.Run(fmt.Sprintf("%s, stored %t", name, stored), func(t *testing.T) {
					t.Parallel()
					tr := newTrial(t, clean, stored)
					for _, k := range faultKinds {
						if k.storedOnly && !stored || !strings.Contains(k.name, onlyKind) {
							continue
						}
						for _, p := range plantings(clean, k, name == "demo", catalogues["demo"]) {
							o, told, found := tr.judge(t, p)
							y.add(k.name, stored, o, name+" "+p.String()+": "+told)
							y.addCorrection(k.name, p, found)
						}
					}
				})
			}
		}
	})
	y.report(t)
}

// plantings are the faults of a kind to be tried in a catalogue, each another one.
func plantings(clean exported, k faultKind, isDemo bool, demo exported) (all []*planting) {
	if plantsAKind == 0 && !isDemo && plant(demo, k, 0) != nil {
		return nil
	}
	planted := map[string]bool{}
	for n := range max(1, plantsAKind) {
		if p := plant(clean, k, uint64(n)); p != nil && !planted[fmt.Sprint(p.texts())] {
			planted[fmt.Sprint(p.texts())] = true
			all = append(all, p)
		}
	}
	return all
}

func (y *tally) report(t *testing.T) {
	var b strings.Builder
	fmt.Fprintf(&b, "%-50s %8s %8s %9s %8s %8s %8s %8s\n", "kind", "refused", "warned", "elsewhere", "harmless", "SILENT", "right", "wrong")
	for _, k := range faultKinds {
		c := y.counts[k.name]
		if c == nil {
			if onlyKind == "" {
				t.Errorf("%s was planted nowhere", k.name)
			}
			continue
		}
		fmt.Fprintf(&b, "%-50s %8d %8d %9d %8d %8d %8d %8d\n", k.name, c[refused], c[warned], c[elsewhere], c[harmless], c[silent],
			y.right[k.name], y.wrong[k.name])
		if y.wrong[k.name] > 0 {
			t.Errorf("%s: %d corrections are wrong, %d right:\n%s", k.name, y.wrong[k.name], y.right[k.name], strings.Join(y.told[k.name], "\n"))
		}
		if all := c[0] + c[1] + c[2] + c[3] + c[4]; float64(c[silent]) > k.mayPass*float64(all) {
			t.Errorf("%s: %d of %d come in silently:\n%s", k.name, c[silent], all, strings.Join(y.told[k.name], "\n"))
		}
	}
	t.Log("\n" + b.String())
}

// plant plants a fault of a kind in a copy of a catalogue, nil where there is no place
// for it.
func plant(clean exported, k faultKind, seed uint64) *planting {
	p := &planting{clean: clean, random: rand.New(rand.NewPCG(seed, 11)), files: exported{}, lines: map[int]bool{}}
	if !k.plant(p) {
		return nil
	}
	return p
}
