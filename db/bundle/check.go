package bundle

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"standin"
	"standin/db/internal/pg"
)

// inspection looks at the catalogue as the views next_<file> show it: as it would
// be in an import, as it is in an audit. A row has a place where it is under
// review: in an import one that is added or changed, in an audit any.
type inspection struct {
	work
	files   []bundleFile           // in the order they were staged, to which places refer
	extra   []warning              // of an import alone
	reviews func(file string) bool // reports whether rows of a file may be under review
}

// check finds one kind of fault. Its sql selects place, and cells: the texts that
// say turns into a finding.
type check struct {
	sql  string
	args []any // from $2 on
	say  func(in *inspection, cells []string) standin.Finding
}

// located is a finding and its place. reference is set where a correction may be
// found.
type located struct {
	place   int64
	finding standin.Finding

	reference *reference
	cells     []string
}

// Check finds the faults that a row alone does not show. It returns at most limit
// findings, in the order of the bundle, and how many there are in all.
func (t *importTx) Check(ctx context.Context, limit int) ([]standin.Finding, int, error) {
	found, total, err := t.check(ctx, limit)
	if err != nil {
		return nil, 0, err
	}
	if err := t.correct(ctx, found); err != nil {
		return nil, 0, err
	}
	findings := make([]standin.Finding, len(found))
	for i, l := range found {
		findings[i] = t.locate(l)
	}
	return findings, total, nil
}

// check runs every check and keeps at most the first limit findings.
func (t *importTx) check(ctx context.Context, limit int) (found []located, total int, err error) {
	if err := t.seal(ctx); err != nil {
		return nil, 0, err
	}
	add := func(more []located, n int, err error) error {
		found, total = firstByPlace(append(found, more...), limit), total+n
		return err
	}
	for _, r := range referencesTo(false) {
		if err := add(t.checkReference(ctx, r, limit)); err != nil {
			return nil, 0, err
		}
	}
	for _, c := range t.checks() {
		if err := add(t.run(ctx, c, limit)); err != nil {
			return nil, 0, err
		}
	}
	for _, r := range rings {
		if err := add(t.checkRing(ctx, r, limit)); err != nil {
			return nil, 0, err
		}
	}
	if err := add(t.checkShrunk(ctx, limit)); err != nil {
		return nil, 0, err
	}
	t.clean = total == 0
	return found, total, nil
}

// checks returns the checks that may fail because of what changes.
func (t *importTx) checks() []check {
	checks := []check{checkRepeats}
	for _, c := range []struct {
		check
		files []string // any of which must change
	}{
		{checkPartKinds, []string{"boards", "adaptors"}},
		{checkRevisionAlone, []string{"builds"}},
		{checkBuildSpans, []string{"builds"}},
		{checkIssueRanges, []string{"configurations"}},
		{t.checkFamilyCodes(), []string{"families"}},
		{t.checkFamilySymbols(), []string{"families"}},
		{t.checkFamilyPatterns(), []string{"families"}},
		{t.checkFamilyAlphabets(), []string{"families"}},
		{checkTwinData("builds"), []string{"twins", "builds"}},
		{checkTwinData("loads"), []string{"twins", "loads"}},
		{checkTwinData("configurations"), []string{"twins", "configurations"}},
		{checkTwinData("presets"), []string{"twins", "presets"}},
	} {
		if t.changes(c.files...) {
			checks = append(checks, c.check)
		}
	}
	if t.changes("revisions") && !t.request.LiftStops {
		checks = append(checks, t.checkLiftedStops())
	}
	return append(checks, t.filledChecks()...)
}

// run returns the first findings of a check, and how many there are.
func (in *inspection) run(ctx context.Context, c check, limit int) ([]located, int, error) {
	places, cells, total, err := in.faults(ctx, c.sql, limit, c.args...)
	found := make([]located, len(places))
	for i, place := range places {
		found[i] = located{place: place, finding: c.say(in, cells[i])}
	}
	return found, total, err
}

// faults runs a query that selects place and cells. It returns the first limit
// rows, and how many there are.
func (in *inspection) faults(ctx context.Context, sql string, limit int, args ...any) (places []int64, cells [][]string, total int, err error) {
	// One row even for a limit of 0: it carries the total.
	rows, err := in.query(ctx, `SELECT coalesce(place, -1), cells, count(*) OVER () FROM (`+sql+`) fault
		ORDER BY place NULLS LAST, cells LIMIT $1`, append([]any{max(1, limit)}, args...)...)
	if err != nil {
		return nil, nil, 0, pg.Translate(err)
	}
	defer rows.Close()
	for rows.Next() {
		var place int64
		var c []string
		if err := rows.Scan(&place, &c, &total); err != nil {
			return nil, nil, 0, pg.Translate(err)
		}
		places, cells = append(places, place), append(cells, c)
	}
	return places, cells, total, pg.Translate(rows.Err())
}

// firstByPlace keeps the first findings by place.
func firstByPlace(found []located, limit int) []located {
	slices.SortStableFunc(found, func(a, b located) int { return cmp.Compare(a.order(), b.order()) })
	return found[:min(len(found), limit)]
}

// order returns the place as a sort key; a finding without a place in the bundle
// comes last.
func (l located) order() uint64 { return uint64(l.place) }

// locate fills in the file and the line of a finding. Where a stored row refers to
// one that is removed, the file is that of the removed row.
func (in *inspection) locate(l located) standin.Finding {
	f := l.finding
	if l.place >= 0 {
		f.File, f.Line = in.files[l.place>>32].name, int(int32(l.place))
		return f
	}
	for _, file := range in.files {
		if l.reference != nil && slices.Contains(l.reference.to.files, file.Name) {
			f.File = file.name
		}
	}
	return f
}

// at names the place of another row in a message: "line 12 of builds.csv".
func (in *inspection) at(place int64) string {
	if place < 0 {
		return "the catalogue"
	}
	return fmt.Sprintf("line %d of %s", int32(place), in.files[place>>32].name)
}
