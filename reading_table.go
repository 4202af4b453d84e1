package standin

import (
	"fmt"
	"slices"
	"strings"
	"sync"
)

// Table is the recorded configurations of a family, made ready for the rules of
// reading. It is never changed once made, and is safe for concurrent use.
type Table struct {
	Family   *Family
	Settings []Setting // in order of code, then pattern
	Skipped  []string  // a sentence for each configuration that cannot be used

	configurations []Configuration
	rows           []tableRow       // one per usable configuration with a pattern
	patterns       patternRows      // of the settings that have one, in their order
	unrecorded     map[string]bool  // codes that are recorded without a pattern
	places         int              // of a code; 0: none is recorded
	symbols        map[string]int32 // symbol → its place on the dial
	seen           [][]bool         // by place, by place on the dial: some row has the symbol there
}

// Setting is what a board may be set for: a code with its pattern, and the
// configurations that record just these, in the order they were given.
type Setting struct {
	Code           []string
	Pattern        Pattern // empty: none recorded
	Configurations []Configuration

	code    string // the code as one word, for comparing
	dialled []int32
	packed  packed
}

// Models are the models of the setting, each once.
func (s *Setting) Models() []ModelKey {
	var models []ModelKey
	for _, c := range s.Configurations {
		if !slices.Contains(models, c.Model) {
			models = append(models, c.Model)
		}
	}
	return models
}

// tableRow is a configuration with its code as places on the dial.
type tableRow struct {
	configuration int // index in Table.configurations
	code          []int32
	pattern       Pattern
}

// NewTable makes the configurations of one family ready. Those whose code or
// pattern cannot be the family's are skipped; Table.Skipped says which and why.
func NewTable(f *Family, configurations []Configuration) *Table {
	t := &Table{Family: f, configurations: configurations, symbols: map[string]int32{}}
	for i, symbol := range f.Selector {
		t.symbols[symbol] = int32(i)
	}
	settings := map[[2]string]int{}
	for i, c := range configurations {
		dialled, err := t.check(c)
		if err != nil {
			t.Skipped = append(t.Skipped, fmt.Sprintf("the configuration for %s is left out: %v", c.Model, err))
			continue
		}
		t.makePlaces(len(dialled))
		key := [2]string{strings.Join(c.Code, " "), string(c.Pattern)}
		at, seen := settings[key]
		if !seen {
			at = len(t.Settings)
			settings[key] = at
			t.Settings = append(t.Settings, Setting{Code: c.Code, Pattern: c.Pattern,
				code: key[0], dialled: dialled, packed: packPattern(c.Pattern)})
		}
		t.Settings[at].Configurations = append(t.Settings[at].Configurations, c)
		if c.Pattern != "" {
			t.addRow(tableRow{i, t.Settings[at].dialled, c.Pattern})
		}
	}
	slices.SortFunc(t.Settings, func(a, b Setting) int { // no two have the same code and pattern
		if order := slices.Compare(a.dialled, b.dialled); order != 0 {
			return order
		}
		return strings.Compare(string(a.Pattern), string(b.Pattern))
	})
	t.addPatterns()
	return t
}

func (t *Table) addPatterns() {
	t.unrecorded = map[string]bool{}
	for i := range t.Settings {
		if s := &t.Settings[i]; s.Pattern == "" {
			t.unrecorded[s.code] = true
		} else {
			t.patterns.add(s.packed, i)
		}
	}
}

// makePlaces makes room for the symbols seen at each place. It waits for a recorded
// code, because a family may claim codes of any length.
func (t *Table) makePlaces(places int) {
	if t.places == places {
		return
	}
	t.places, t.seen = places, make([][]bool, places)
	for place := range t.seen {
		t.seen[place] = make([]bool, len(t.Family.Selector))
	}
}

// wasSeen reports whether a code with a pattern has the symbol at the place.
func (t *Table) wasSeen(place int, symbol int32) bool {
	return place < len(t.seen) && t.seen[place][symbol]
}

func (t *Table) addRow(row tableRow) {
	t.rows = append(t.rows, row)
	for place, symbol := range row.code {
		t.seen[place][symbol] = true
	}
}

// check returns the code of a configuration as places on the dial. The error is
// what is wrong with the configuration.
func (t *Table) check(c Configuration) ([]int32, error) {
	if err := t.Family.CheckCode(c.Code); err != nil {
		return nil, err
	}
	return t.onDial(c.Code), t.Family.CheckPattern(c.Pattern)
}

// onDial returns a code as places on the dial. Every symbol must be on it.
func (t *Table) onDial(code []string) []int32 {
	places := make([]int32, len(code))
	for i, symbol := range code {
		places[i] = t.symbols[symbol]
	}
	return places
}

// settingsOf are the settings recorded with a code, as places on the dial.
func (t *Table) settingsOf(code []int32) []Setting {
	from, _ := slices.BinarySearchFunc(t.Settings, code, func(s Setting, code []int32) int { return slices.Compare(s.dialled, code) })
	to := from
	for to < len(t.Settings) && slices.Equal(t.Settings[to].dialled, code) {
		to++
	}
	return t.Settings[from:to]
}

// pointNames are the names of the points with these indices.
func (t *Table) pointNames(points []int) []string {
	names := make([]string, len(points))
	for i, p := range points {
		names[i] = t.Family.Readback[p]
	}
	return names
}

// PreparedFamily is a family with its recorded configurations made ready for
// the rules of reading, as they were at one version of the catalogue. It must
// not be changed, and is safe for concurrent use.
type PreparedFamily struct {
	FamilyRecord
	CatalogueVersion int64
	Table            *Table

	codeMap   func() *CodeMap
	misprints func() []Misprint
	trust     func() FamilyTrust
}

// PrepareFamily makes a family ready. What is learnt from its configurations is
// worked out once, when it is first asked for.
func PrepareFamily(record FamilyRecord, version int64) *PreparedFamily {
	f := &PreparedFamily{FamilyRecord: record, CatalogueVersion: version}
	f.Table = NewTable(&f.Family, f.Configurations)
	f.codeMap = sync.OnceValue(f.Table.CodeMap)
	f.misprints = sync.OnceValue(f.Table.Misprints)
	f.trust = sync.OnceValue(f.Table.FamilyTrust)
	return f
}

// CodeMap is what the family's code map has learnt.
func (f *PreparedFamily) CodeMap() *CodeMap { return f.codeMap() }

// Misprints are the configurations of the family that are likely misprinted.
func (f *PreparedFamily) Misprints() []Misprint { return f.misprints() }

// Trust is how far the family's patterns tell its codes apart.
func (f *PreparedFamily) Trust() FamilyTrust { return f.trust() }
