package bundle

import (
	"cmp"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"standin"
)

// trustLot is a batch of families whose trust is worked out together.
type trustLot struct {
	families []*trustOfFamily
	byID     map[int64]*trustOfFamily
	codes    map[string][]string // by code, its symbols, each once
	done     chan struct{}       // closed when all is worked out
}

// trustOfFamily is a family with its configurations, and later with the trust that
// was worked out from them.
type trustOfFamily struct {
	familyToTrust
	recorded []standin.Configuration // with family, model, code and pattern alone

	trusts     []standin.SettingTrust
	unrecorded int
}

// takeLot takes families from the front, at least one, until together they would
// have more than trustedAtOnce configurations.
func takeLot(families *[]familyToTrust) *trustLot {
	lot := &trustLot{byID: map[int64]*trustOfFamily{}, codes: map[string][]string{}, done: make(chan struct{})}
	rows := 0
	for _, f := range *families {
		if rows += f.configurations; rows > trustedAtOnce && len(lot.families) > 0 {
			break
		}
		trust := &trustOfFamily{familyToTrust: f}
		lot.families = append(lot.families, trust)
		lot.byID[f.id] = trust
	}
	*families = (*families)[len(lot.families):]
	return lot
}

func (lot *trustLot) add(family int64, code string, c standin.Configuration) {
	symbols, known := lot.codes[code]
	if !known {
		symbols = strings.Fields(code)
		lot.codes[code] = symbols
	}
	f := lot.byID[family]
	c.Family, c.Code = f.Name, symbols
	f.recorded = append(f.recorded, c)
}

// workOut works out the trust of every family, lets go of their configurations and
// closes done.
func (lot *trustLot) workOut() {
	defer close(lot.done)
	for _, f := range lot.families {
		slices.SortFunc(f.recorded, func(a, b standin.Configuration) int { return compareKeys(a.Model, b.Model) })
		table := standin.NewTable(&f.Family, f.recorded)
		f.trusts, f.unrecorded, f.recorded = slices.Collect(table.Trusts()), table.Unrecorded(), nil
	}
}

func compareKeys(a, b standin.ModelKey) int {
	return cmp.Or(strings.Compare(a.Brand, b.Brand), strings.Compare(a.Model, b.Model), strings.Compare(a.Variant, b.Variant))
}

func (lot *trustLot) ids() []int64 {
	ids := make([]int64, len(lot.families))
	for i, f := range lot.families {
		ids[i] = f.id
	}
	return ids
}

func (lot *trustLot) unrecorded() []int {
	counts := make([]int, len(lot.families))
	for i, f := range lot.families {
		counts[i] = f.unrecorded
	}
	return counts
}

// rows returns the rows of settings, with settingColumns.
func (lot *trustLot) rows() pgx.CopyFromSource {
	family, at := 0, 0
	return pgx.CopyFromFunc(func() ([]any, error) {
		for family < len(lot.families) && at == len(lot.families[family].trusts) {
			family, at = family+1, 0
		}
		if family == len(lot.families) {
			return nil, nil
		}
		f := lot.families[family]
		at++
		return settingRow(f.id, &f.trusts[at-1]), nil
	})
}

func settingRow(family int64, t *standin.SettingTrust) []any {
	models := make([]string, 0, 3*len(t.Models))
	for _, m := range t.Models {
		models = append(models, m.Brand, m.Model, m.Variant)
	}
	codes, patterns := make([]string, len(t.Nearest)), make([]string, len(t.Nearest))
	for i, n := range t.Nearest {
		codes[i], patterns[i] = n.Code, string(n.Pattern)
	}
	var distance *int
	if t.Distance.Known {
		distance = &t.Distance.V
	}
	return []any{family, t.Code, string(t.Pattern), models, t.ModelCount, t.AlsoUnrecorded, distance, codes, patterns, t.NearestCount}
}
