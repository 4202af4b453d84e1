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

// finder finds something odd about the rows of a file, or of several.
type finder struct {
	file string // empty: each finding names its own
	find func(ctx context.Context, limit int) ([]located, int, error)
}

// finders returns those that may find something, in the order of what they find. Some
// take more than SQL: they work in Go, family by family.
func (in *inspection) finders(proofread *proofreading) (all []finder) {
	for _, r := range referencesTo(true) {
		all = append(all, finder{r.file, func(ctx context.Context, limit int) ([]located, int, error) {
			return in.warnReference(ctx, r, limit)
		}})
	}
	for _, w := range append(warnings[:len(warnings):len(warnings)], in.extra...) {
		all = append(all, finder{w.file, func(ctx context.Context, limit int) ([]located, int, error) {
			return in.run(ctx, w.check, limit)
		}})
	}
	all = append(all, finder{"configurations", in.warnSamePatterns})
	if proofread != nil {
		all = append(all, finder{"configurations", func(ctx context.Context, _ int) ([]located, int, error) { return proofread.finish(ctx) }})
	}
	all = append(all, finder{"families", in.warnResistors}, finder{"configurations", in.warnUnusedSymbols}, finder{"loads", in.warnWords})
	return slices.DeleteFunc(all, func(f finder) bool { return !in.due(f.file) })
}

// Warnings finds what is odd about the rows that are added and changed. The
// findings are in the order of the bundle.
func (t *importTx) Warnings(ctx context.Context, limit int) ([]standin.Finding, int, error) {
	if err := t.seal(ctx); err != nil {
		return nil, 0, err
	}
	return t.warnings(ctx, limit, finder{find: t.changeWarnings})
}

// warnings finds what is odd about the rows under review, and what more finds. While
// the database looks for one thing, rows that it sent before are proof-read.
func (in *inspection) warnings(ctx context.Context, limit int, more ...finder) ([]standin.Finding, int, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	var proofread *proofreading
	if in.due("configurations") {
		var err error
		if proofread, err = in.beginProofreading(ctx, limit); err != nil {
			return nil, 0, err
		}
	}
	var found []located
	total := 0
	for _, f := range append(in.finders(proofread), more...) {
		if err := proofread.readAhead(ctx); err != nil {
			return nil, 0, err
		}
		odd, n, err := f.find(ctx, limit)
		if err != nil {
			return nil, 0, err
		}
		for i := range odd {
			odd[i].finding.Severity = standin.SeverityWarning
			if odd[i].finding.File == "" {
				odd[i].finding.File = f.file + ".csv"
			}
		}
		found, total = firstByPlace(append(found, odd...), limit), total+n
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
