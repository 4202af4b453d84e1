package bundle

import (
	"context"
	"fmt"
	"slices"

	"standin"
	"standin/db/internal/pg"
)

// A replaced family loses the rows that the bundle no longer has, of the files
// that the bundle does have: a bundle of configurations alone says nothing about
// boards. What belongs to a board or a revision is removed with it.
var (
	ofTheFamily = "b.family = ANY($1)"

	ofItsBoards    = "b.part_number IN (SELECT part_number FROM bundle.boards WHERE family = ANY($1))"
	ofGoneBoards   = "b.part_number IN (SELECT part_number FROM stage_boards WHERE removed)"
	ofGoneRevision = "(b.part_number, b.revision) IN (SELECT part_number, revision FROM stage_revisions WHERE removed)"
)

// replacement says which stored rows of a file belong to a family, and which are
// removed even where the file is not in the bundle.
type replacement struct {
	file    string
	owned   string // the condition that a row belongs to the family
	follows string // the condition that what a row belongs to is removed
}

// replacements are ordered so that a file comes after those it follows.
var replacements = []replacement{
	{"configurations", ofTheFamily, "false"},
	{"boards", ofTheFamily, "false"},
	{"revisions", ofItsBoards, ofGoneBoards},
	{"ratings", ofItsBoards, ofGoneBoards + " OR " + ofGoneRevision},
	{"markings", ofItsBoards, ofGoneBoards + " OR " + ofGoneRevision},
	{"presets", ofItsBoards, ofGoneBoards},
}

// replaceFamilies stages for removal what the replaced families no longer have.
func (t *importTx) replaceFamilies(ctx context.Context) error {
	if len(t.request.Replace) == 0 {
		return nil
	}
	inBundle := map[string]bool{}
	for name := range t.staged {
		inBundle[name] = true
	}
	if err := t.createStages(ctx, "families", "boards", "revisions", "configurations", "ratings", "markings", "presets"); err != nil {
		return err
	}
	if err := t.refuseUnknownFamilies(ctx); err != nil {
		return err
	}
	for _, r := range replacements {
		f, _ := standin.FileNamed(r.file)
		which := r.follows
		if inBundle[r.file] {
			which = r.owned + " OR " + r.follows
		}
		err := t.exec(ctx, fmt.Sprintf(`INSERT INTO %[1]s (removed, %[2]s)
			SELECT true, %[3]s FROM bundle.%[4]s b
			WHERE $1::text[] IS NOT NULL AND (%[5]s) AND NOT EXISTS (SELECT FROM %[1]s s WHERE %[6]s)`,
			stageOf(f), columnList(f, ""), columnList(f, "b"), f.Name, which, sameKey(f, "s", "b")), t.request.Replace)
		if err != nil {
			return err
		}
	}
	return nil
}

func (t *importTx) createStages(ctx context.Context, names ...string) error {
	for _, name := range names {
		f, _ := standin.FileNamed(name)
		if err := t.createStage(ctx, f); err != nil {
			return err
		}
	}
	return nil
}

// refuseUnknownFamilies returns an error where a family to be replaced is not known:
// its name is probably misspelt, and none of its rows would be removed.
func (t *importTx) refuseUnknownFamilies(ctx context.Context) error {
	known := []string{}
	err := t.queryRow(ctx, `SELECT coalesce(array_agg(family), '{}') FROM (
		SELECT family FROM bundle.families UNION SELECT family FROM stage_families) f`).Scan(&known)
	if err != nil {
		return pg.Translate(err)
	}
	for _, name := range t.request.Replace {
		if !slices.Contains(known, name) {
			return &standin.Error{Code: standin.CodeBadRequest, Field: "replace",
				Message: fmt.Sprintf("there is no family %q to replace, neither in the catalogue nor in the bundle", name)}
		}
	}
	return nil
}
