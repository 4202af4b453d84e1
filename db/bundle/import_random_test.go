package bundle

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Whatever valid catalogue is imported, the views give the same rows; whatever
// edition follows it, undo gives the first again.
func TestRandomCatalogues(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	overlaid := 0
	for seed := range uint64(4) { // as many as a second or two allow
		d := draw{rand.New(rand.NewPCG(seed, 0))}
		first, second := drawBundle(d), drawBundle(d)
		one := put(t, db, first)
		sameContents(t, db, seed, "imported", first)
		if again := put(t, db, first); again.ID != 0 {
			t.Fatalf("seed %d: imported again it changes something: %+v", seed, again)
		}
		if overlay(t, db, seed, second) {
			overlaid++
		}
		sameContents(t, db, seed, "restored", first)
		undo(t, db, one.ID)
		sameContents(t, db, seed, "undone", "")
	}
	if overlaid < 1 {
		t.Errorf("only %d second editions were without faults", overlaid)
	}
}

// overlay imports an edition over another, unless it has faults against that, and
// undoes it. What has no finding must not fail.
func overlay(t *testing.T, db *database, seed uint64, bundle string) bool {
	t.Helper()
	tx := openTx(t, db, "f0", "f1")
	defer tx.Rollback()
	stage(t, tx, bundle)
	if findings(t, tx) != "" {
		return false
	}
	made, err := tx.Commit(t.Context())
	if err != nil {
		t.Fatalf("seed %d: nothing was found, but: %v", seed, err)
	}
	if made.ID != 0 {
		undo(t, db, made.ID)
	}
	return true
}

func sameContents(t *testing.T, db *database, seed uint64, what, bundle string) {
	t.Helper()
	if diff := cmp.Diff(sorted(t, bundle), contents(t, db)); diff != "" {
		t.Fatalf("seed %d: %s (+) differs (-):\n%s", seed, what, diff)
	}
}

// draw draws the cells of a bundle.
type draw struct{ *rand.Rand }

func (d draw) yes() bool                 { return d.IntN(2) == 0 }
func (d draw) pick(all ...string) string { return all[d.IntN(len(all))] }

// maybe is the text or an empty cell.
func (d draw) maybe(text string) string { return d.pick("", text) }

// oneOf is one of the names or an empty cell.
func (d draw) oneOf(names []string) string { return d.pick(append([]string{""}, names...)...) }

// names are a few of the names with a prefix, least at the least, in a drawn order.
func (d draw) names(prefix string, least, most int) []string {
	names := make([]string, most)
	for i, n := range d.Perm(most) {
		names[i] = fmt.Sprint(prefix, n)
	}
	return names[:least+d.IntN(most-least+1)]
}

// sheet is a file that is being written, each key once.
type sheet struct {
	name string
	keys int
	rows []string
	seen map[string]bool
}

func (s *sheet) add(cells ...string) {
	key := strings.Join(cells[:s.keys], ",")
	if s.seen == nil {
		s.seen = map[string]bool{}
	}
	if !s.seen[key] {
		s.seen[key] = true
		s.rows = append(s.rows, strings.Join(cells, ","))
	}
}

// write appends the file to a bundle.
func (s *sheet) write(b *strings.Builder) {
	fmt.Fprintf(b, "-- %s.csv --\n%s\n", s.name, header(s.name))
	for _, row := range s.rows {
		fmt.Fprintln(b, row)
	}
}

// drawBundle draws a small valid bundle over few names, so that two of them have
// much in common.
func drawBundle(d draw) string {
	var b strings.Builder
	families, boards := drawBoards(d, &b)
	drawModels(d, &b, families, boards)
	return b.String()
}

func drawBoards(d draw, b *strings.Builder) (familyNames, boardNames []string) {
	families := sheet{name: "families", keys: 1}
	layouts := sheet{name: "layouts", keys: 2}
	boards := sheet{name: "boards", keys: 1}
	revisions := sheet{name: "revisions", keys: 2}
	ratings := sheet{name: "ratings", keys: 3}
	supersessions := sheet{name: "supersessions", keys: 2}
	stock := sheet{name: "stock", keys: 4}
	familyNames = append([]string{"f0", "f1"}, d.names("g", 0, 1)...)
	for _, f := range familyNames {
		families.add(f, d.maybe("Title"), d.pick("", "selector", "switches"), d.pick("", "yes", "no"), d.maybe("A B C"), "2", "P Q",
			d.pick("", "lamp", "lamp lamp", "sign lamp"), d.pick("", "P Q", "Q / P"), "", d.maybe("x"))
	}
	layoutNames := d.names("l", 0, 3)
	for _, l := range layoutNames {
		for c := range 1 + d.IntN(3) {
			layouts.add(l, fmt.Sprint("CN", c), "2", d.maybe("2.5"), d.maybe("left"), d.maybe("heater ."))
		}
	}
	boardNames = d.names("p", 0, 4)
	for i, p := range boardNames {
		boards.add(p, d.oneOf(familyNames), d.maybe("display"), d.maybe("Board"), "")
		if i > 0 {
			supersessions.add(boardNames[i-1], p, d.pick("", "one-way", "two-way"), d.maybe("2004-01-01"), "")
		}
		for n := range d.IntN(3) {
			revision := fmt.Sprint("r", n)
			revisions.add(p, revision, d.maybe(fmt.Sprint(n+1)), d.oneOf(layoutNames), d.maybe("2001-01-01"), d.maybe("2002-12-31"),
				d.pick("", "none", "steam", "steam drain"), d.maybe("207"), d.maybe("253.5"), d.pick("", "50", "50 60"), "", d.maybe("recalled"))
			ratings.add(p, revision, d.pick("heater", "motor"), d.pick("", "0", "10.5"))
			stock.add(d.pick("front", "back"), p, d.maybe(revision), d.pick("new", "used"), fmt.Sprint(d.IntN(3)))
		}
	}
	for _, s := range []*sheet{&families, &layouts, &boards, &revisions, &ratings, &supersessions, &stock} {
		s.write(b)
	}
	return familyNames, boardNames
}

func drawModels(d draw, b *strings.Builder, families, boards []string) {
	sources := sheet{name: "sources", keys: 1}
	models := sheet{name: "models", keys: 3}
	twins := sheet{name: "twins", keys: 3}
	builds := sheet{name: "builds", keys: 5}
	loads := sheet{name: "loads", keys: 6}
	configurations := sheet{name: "configurations", keys: 6}
	sourceNames := d.names("s", 0, 2)
	for _, s := range sourceNames {
		sources.add(s, d.maybe("Title"), d.maybe("2004-01-01"), d.maybe("note 1"))
	}
	for _, m := range d.names("m", 1, 3) {
		variant := d.maybe("v")
		models.add("Aldor", m, variant, d.maybe("washer"), d.maybe("2001-01-01"), d.maybe("2009-12-31"),
			d.pick("", "230", "110-120/220-240"), d.pick("", "50", "50/60"), d.pick("", "I", "II"), "")
		twins.add("Bexley", m, "", "Aldor", m, variant)
		labels, controls := []string{""}, []string{""}
		for year := 2001; year < 2001+d.IntN(5); year += 1 + d.IntN(2) {
			label := fmt.Sprint("b", year)
			if d.IntN(3) == 0 {
				builds.add("Aldor", m, variant, "display", label, fmt.Sprintf("%d-03-01", year), fmt.Sprintf("%d-04-30", year), "", "", "", d.oneOf(boards), "", "", "", "")
				loads.add("Aldor", m, variant, "display", d.pick(label, ""), "lamp", "", "", "", d.pick("", "0.2"), d.pick("", "0.9"), d.pick("", "10"), d.pick("", "12.5"), d.pick("", "-20"))
				if d.yes() { // the label stands in this position alone
					labels = append(labels, label)
					continue
				}
			}
			builds.add("Aldor", m, variant, "", label, fmt.Sprintf("%d-01-01", year), d.maybe(fmt.Sprintf("%d-12-31", year)),
				d.pick("", "0", "30"), d.maybe("100"), d.maybe("200"), d.oneOf(boards), "", "", d.pick("", "none", "steam"), d.oneOf(sourceNames))
			labels, controls = append(labels, label), append(controls, label)
		}
		loads.add("Aldor", m, variant, "", d.pick(controls...), "heater", d.pick("", "2000"), d.maybe("220"), d.pick("", "heating"), "", "", "", "", "")
		for _, f := range families {
			build := d.pick(labels...)
			configurations.add(f, "Aldor", m, variant, build, "", "2", "A B", d.pick("", "1-", "f0"), d.oneOf(sourceNames))
			if d.yes() {
				configurations.add(f, "Aldor", m, variant, build, "3", d.maybe("4"), "B B", "", "")
			}
		}
	}
	for _, s := range []*sheet{&sources, &models, &twins, &builds, &loads, &configurations} {
		s.write(b)
	}
}
