package bundle

import (
	"context"
	"fmt"

	"standin"
)

// A file that has less than half of what is stored of a family was probably cut off,
// or filtered. fewestShrunk is how many rows must be stored for that: of a few, half is
// soon gone.
const fewestShrunk = 5

// fewestAsStored is how many rows must be as they are stored: a bundle of corrections
// has few rows too, but changes them.
const fewestAsStored = 5

// shrunkSQL counts the rows of each family in a file, as the bundle has them and as
// they are stored.
func shrunkSQL(r replacement, of string) string {
	return fmt.Sprintf(`WITH boards AS (SELECT part_number, family FROM next_boards UNION SELECT part_number, family FROM bundle.boards),
		staged AS (SELECT family, count(*) AS many, min(place) AS place FROM stage_%[1]s s %[2]s WHERE NOT s.removed AND family IS NOT NULL GROUP BY family),
		stored AS (SELECT family, count(*) AS many FROM bundle.%[1]s b %[3]s WHERE family IS NOT NULL GROUP BY family),
		changed AS (SELECT family, count(*) AS many FROM delta_%[1]s d %[4]s WHERE op <> 'removed' AND family IS NOT NULL GROUP BY family)
		SELECT s.place, ARRAY[o.family, coalesce(s.many, 0)::text, o.many::text] AS cells
		FROM stored o LEFT JOIN staged s USING (family) LEFT JOIN changed c USING (family)
		WHERE o.many >= %[5]d AND 2 * coalesce(s.many, 0) < o.many AND %[6]s`,
		r.file, byBoard(r, "s"), byBoard(r, "b"), byBoard(r, "d"), fewestShrunk, of)
}

// byBoard joins the family of a row that has none of its own.
func byBoard(r replacement, alias string) string {
	if r.owned == ofTheFamily {
		return ""
	}
	return "JOIN boards USING (part_number)"
}

// warnShrunk finds the families of which a file has less than half of what is stored,
// most of it as it is stored. Of a family that is replaced, checkShrunk finds it.
func (t *importTx) warnShrunk(ctx context.Context, c fileCount) (found []located, err error) {
	for _, r := range replacements {
		if r.file != c.Name || c.unchanged < fewestAsStored {
			continue
		}
		more, _, err := t.run(ctx, check{sql: shrunkSQL(r, "s.many - coalesce(c.many, 0) >= "+fmt.Sprint(fewestAsStored)), say: sayShrunk(r,
			"nothing is removed, but was the file cut off?")}, len(t.files))
		if err != nil {
			return nil, err
		}
		found = append(found, more...)
	}
	return found, nil
}

// checkShrunk finds, for the families that are replaced, the files of the bundle that
// have less than half of what is stored: most would be removed. The request may consent.
func (t *importTx) checkShrunk(ctx context.Context, limit int) (found []located, total int, err error) {
	if len(t.request.Replace) == 0 || t.request.Shrink {
		return nil, 0, nil
	}
	for _, r := range replacements {
		file := t.stagedNamed(r.file)
		if file < 0 {
			continue
		}
		more, n, err := t.run(ctx, check{sql: shrunkSQL(r, "o.family = ANY ($2)"), args: []any{t.request.Replace},
			say: sayShrunk(r, "the others would be removed; say so (--shrink) where they are gone")}, limit)
		if err != nil {
			return nil, 0, err
		}
		for i := range more {
			if more[i].place < 0 {
				more[i].place = placeOf(file, 1)
			}
		}
		found, total = append(found, more...), total+n
	}
	return found, total, nil
}

// stagedNamed returns the number of a file of the bundle, -1 where it has none.
func (t *importTx) stagedNamed(name string) int {
	for i, f := range t.files {
		if f.Name == name {
			return i
		}
	}
	return -1
}

func sayShrunk(r replacement, what string) func(*inspection, []string) standin.Finding {
	column := "family"
	if r.owned != ofTheFamily {
		column = "part_number"
	}
	return func(_ *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.Shrunk, Column: column, Value: "",
			Message: fmt.Sprintf("the file has %s of the %s rows that are stored of family %s: %s", cells[1], cells[2], cells[0], what)}
	}
}
