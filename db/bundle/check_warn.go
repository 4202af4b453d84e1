package bundle

import (
	"context"

	"standin"
)

// warning finds one kind of oddity in the catalogue as it would be. Its check
// speaks of rows of next_<file> with a place: in an import those that it adds and
// changes, in an audit all that are stored.
type warning struct {
	check
	file string // whose rows it is about
}

var warnings = []warning{
	{warnGaps, "builds"},
	{warnNoDifference, "builds"},
	{warnUnmetOptions, "builds"},
	{warnNoTaker, "configurations"},
	{warnLostCircuits, "adaptors"},
	{warnSwappable, "layouts"},
}

// rowWarnings are those that take more than SQL: they are found in Go, family by
// family.
var rowWarnings = []struct {
	find func(t *importTx, ctx context.Context, limit int) ([]located, int, error)
	file string
}{
	{(*importTx).warnSamePatterns, "configurations"},
	{(*importTx).warnMisprints, "configurations"},
}

// Warnings finds what is odd about the rows that are added and changed. The
// findings are in the order of the bundle.
func (t *importTx) Warnings(ctx context.Context, limit int) ([]standin.Finding, int, error) {
	if err := t.seal(ctx); err != nil {
		return nil, 0, err
	}
	var found []located
	total := 0
	add := func(file string, more []located, n int, err error) error {
		for i := range more {
			more[i].finding.Severity = standin.SeverityWarning
			more[i].finding.File = file + ".csv"
		}
		found, total = first(append(found, more...), limit), total+n
		return err
	}
	for _, r := range referencesTo(true) {
		more, n, err := t.warnReference(ctx, r, limit)
		if err := add(r.file, more, n, err); err != nil {
			return nil, 0, err
		}
	}
	for _, w := range warnings {
		if !t.speaksOf(w.file) {
			continue
		}
		more, n, err := t.run(ctx, w.check, limit)
		if err := add(w.file, more, n, err); err != nil {
			return nil, 0, err
		}
	}
	for _, w := range rowWarnings {
		if !t.speaksOf(w.file) {
			continue
		}
		more, n, err := w.find(t, ctx, limit)
		if err := add(w.file, more, n, err); err != nil {
			return nil, 0, err
		}
	}
	findings := make([]standin.Finding, len(found))
	for i, l := range found {
		findings[i] = t.locate(l)
	}
	return findings, total, nil
}

// speaksOf tells whether rows of a file can have a place in next_<file>.
func (t *importTx) speaksOf(file string) bool { return t.audits || t.changes(file) }

// warnReference finds the rows whose reference leads nowhere.
func (t *importTx) warnReference(ctx context.Context, r *reference, limit int) ([]located, int, error) {
	if !t.speaksOf(r.file) {
		return nil, 0, nil
	}
	found, total, err := t.referring(ctx, r, r.sql(true)+" AND r.place IS NOT NULL", limit)
	if err != nil {
		return nil, 0, err
	}
	return found, total, t.correct(ctx, found)
}
