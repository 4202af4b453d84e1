package bundle

import (
	"context"
	"slices"

	"standin"
)

// alsoAbout are the files that a warning about another looks at too: it is due where
// any of their rows are under review.
var alsoAbout = map[string][]string{
	"builds":        {"models", "revisions", "ratings", "loads", "layouts", "boards"},
	"supersessions": {"revisions"},
	"loads":         {"ratings", "layouts", "revisions", "builds"},
}

// due reports whether a warning about a file may find anything.
func (in *inspection) due(file string) bool {
	return in.reviews(file) || slices.ContainsFunc(alsoAbout[file], in.reviews)
}

// warning finds one kind of oddity of the rows under review.
type warning struct {
	check
	file string // whose rows the warning is about
}

var warnings = []warning{
	{warnGaps, "builds"},
	{warnNoDifference, "builds"},
	{warnUnmetOptions, "builds"},
	{warnNoTaker, "configurations"},
	{warnLostCircuits, "adaptors"},
	{warnSwappable, "layouts"},
	{warnOutsideSpan, "builds"},
	{warnBackwards, "supersessions"},
	{warnLackingOptions, "builds"},
	{warnOtherSupply, "builds"},
	{warnOverloaded, "builds"},
	{warnNoHeader, "builds"},
	{warnOutliers("loads", "watts", "circuit", "W"), "loads"},
	{warnOutliers("ratings", "max_amps", "circuit", "A"), "ratings"},
	{warnOutliers("layouts", "pitch_mm", "''", "mm"), "layouts"},
}

// rowWarnings are those that take more than SQL: they are found in Go, family by
// family.
var rowWarnings = []struct {
	find func(in *inspection, ctx context.Context, limit int) ([]located, int, error)
	file string
}{
	{(*inspection).warnSamePatterns, "configurations"},
	{(*inspection).warnMisprints, "configurations"},
	{(*inspection).warnResistors, "families"},
	{(*inspection).warnUnusedSymbols, "configurations"},
	{(*inspection).warnWords, "loads"},
}

// Warnings finds what is odd about the rows that are added and changed. The
// findings are in the order of the bundle.
func (t *importTx) Warnings(ctx context.Context, limit int) ([]standin.Finding, int, error) {
	if err := t.seal(ctx); err != nil {
		return nil, 0, err
	}
	return t.warnings(ctx, limit, t.changeWarnings)
}

// warnings finds what is odd about the rows under review, and what more finds.
func (in *inspection) warnings(ctx context.Context, limit int, more ...func(context.Context, int) ([]located, int, error)) ([]standin.Finding, int, error) {
	var found []located
	total := 0
	add := func(file string, more []located, n int, err error) error {
		for i := range more {
			more[i].finding.Severity = standin.SeverityWarning
			if more[i].finding.File == "" {
				more[i].finding.File = file + ".csv"
			}
		}
		found, total = firstByPlace(append(found, more...), limit), total+n
		return err
	}
	for _, r := range referencesTo(true) {
		more, n, err := in.warnReference(ctx, r, limit)
		if err := add(r.file, more, n, err); err != nil {
			return nil, 0, err
		}
	}
	for _, w := range append(warnings[:len(warnings):len(warnings)], in.extra...) {
		if !in.due(w.file) {
			continue
		}
		more, n, err := in.run(ctx, w.check, limit)
		if err := add(w.file, more, n, err); err != nil {
			return nil, 0, err
		}
	}
	for _, w := range rowWarnings {
		if !in.due(w.file) {
			continue
		}
		more, n, err := w.find(in, ctx, limit)
		if err := add(w.file, more, n, err); err != nil {
			return nil, 0, err
		}
	}
	for _, find := range more {
		more, n, err := find(ctx, limit)
		if err := add("", more, n, err); err != nil {
			return nil, 0, err
		}
	}
	findings := make([]standin.Finding, len(found))
	for i, l := range found {
		findings[i] = in.locate(l)
	}
	return findings, total, nil
}

// warnReference finds the rows whose reference leads nowhere.
func (in *inspection) warnReference(ctx context.Context, r *reference, limit int) ([]located, int, error) {
	if !in.reviews(r.file) {
		return nil, 0, nil
	}
	found, total, err := in.referring(ctx, r, r.sql(true)+" AND r.place IS NOT NULL", limit)
	if err != nil {
		return nil, 0, err
	}
	return found, total, in.correct(ctx, found)
}
