package bundle

import (
	"context"
	"fmt"
	"slices"

	"standin"
	"standin/db/internal/pg"
)

// Where the stock of a location is replaced, the bundle is a count of all that is
// there: a line that it does not have has no pieces. The line itself stays, since
// nothing is another statement than nobody has counted; it is removed only with a
// board or revision that is removed, unless pieces of it are on hold.

// onHold is the condition that pieces of a stock line b are on hold.
const onHold = `EXISTS (SELECT FROM holds h WHERE h.location = b.location AND h.part_number = b.part_number
	AND h.revision = b.revision AND h.condition = b.condition AND h.state = 'held' AND h.until > clock_timestamp())`

// replaceStock stages, for the locations that are replaced, the lines that the bundle
// does not have. The stock must be held.
func (t *importTx) replaceStock(ctx context.Context) error {
	if len(t.request.ReplaceStock) == 0 || !t.staged["stock"] {
		return nil
	}
	if err := t.refuseUnknownLocations(ctx); err != nil {
		return err
	}
	gone := "false"
	if len(t.request.Replace) > 0 {
		gone = "(" + ofGoneBoards + " OR " + ofGoneRevision + ") AND NOT " + onHold
	}
	return t.exec(ctx, fmt.Sprintf(`INSERT INTO stage_stock (removed, location, part_number, revision, condition, quantity)
		SELECT %[1]s, b.location, b.part_number, b.revision, b.condition, CASE WHEN %[1]s THEN b.quantity ELSE 0 END
		FROM bundle.stock b
		WHERE b.location = ANY($1) AND (b.quantity <> 0 OR %[1]s)
			AND NOT EXISTS (SELECT FROM stage_stock s WHERE %[2]s)`, gone, sameKey(stockFile(), "s", "b")), t.request.ReplaceStock)
}

func stockFile() standin.File {
	f, _ := standin.FileNamed("stock")
	return f
}

// refuseUnknownLocations returns an error where a location to be replaced is not known:
// its name is probably misspelt, and its stock would stay as it is.
func (t *importTx) refuseUnknownLocations(ctx context.Context) error {
	known := []string{}
	err := t.queryRow(ctx, `SELECT coalesce(array_agg(location), '{}') FROM (
		SELECT location FROM bundle.stock UNION SELECT location FROM stage_stock) l`).Scan(&known)
	if err != nil {
		return pg.Translate(err)
	}
	for _, name := range t.request.ReplaceStock {
		if !slices.Contains(known, name) {
			return &standin.Error{Code: standin.CodeBadRequest, Field: "replace-stock",
				Message: fmt.Sprintf("there is no stock at %q to replace, neither in the catalogue nor in the bundle", name)}
		}
	}
	return nil
}

// leaveOutUnknown moves, where the request says so, the new stock lines of parts and
// revisions that are not in the catalogue as it would be to the table left_out.
func (t *importTx) leaveOutUnknown(ctx context.Context) error {
	if !t.request.SkipUnknownStock || !t.changes("stock") {
		return nil
	}
	n, err := t.execCount(ctx, `CREATE TEMPORARY TABLE left_out ON COMMIT DROP AS
		SELECT place, location, part_number, revision, condition, quantity FROM delta_stock d
		WHERE op = 'added' AND (
			NOT EXISTS (SELECT FROM next_boards p WHERE p.part_number = d.part_number)
				AND NOT EXISTS (SELECT FROM next_adaptors p WHERE p.part_number = d.part_number)
			OR d.revision <> ''
				AND NOT EXISTS (SELECT FROM next_revisions r WHERE r.part_number = d.part_number AND r.revision = d.revision))`)
	if err != nil || n == 0 {
		return err
	}
	for i := range t.counts {
		if t.counts[i].Name == "stock" {
			t.counts[i].added -= n
			t.counts[i].leftOut = n
		}
	}
	t.extra = append(t.extra, warnLeftOut)
	return t.exec(ctx, "DELETE FROM delta_stock d USING left_out l WHERE "+sameKey(stockFile(), "d", "l"))
}

// warnLeftOut says which stock lines are left out.
var warnLeftOut = warning{check{sql: `SELECT place, ARRAY[part_number, revision, condition, location, quantity::text] AS cells FROM left_out`,
	say: func(_ *inspection, cells []string) standin.Finding {
		key := standin.StockKey{PartNumber: cells[0], Revision: cells[1], Condition: cells[2], Location: cells[3]}
		return standin.Finding{Code: standin.UnknownStock, Column: "part_number", Value: cells[0],
			Message: fmt.Sprintf("left out: %s is not in the catalogue (quantity %s)", key, cells[4])}
	}}, "stock"}

// warnShort says which stock lines that change have fewer pieces than are on hold.
var warnShort = warning{check{sql: `SELECT place, ARRAY[d.part_number, d.revision, d.condition, d.location, d.quantity::text, held::text] AS cells
	FROM delta_stock d, LATERAL (SELECT sum(h.quantity) AS held FROM holds h WHERE h.location = d.location AND h.part_number = d.part_number
		AND h.revision = d.revision AND h.condition = d.condition AND h.state = 'held' AND h.until > clock_timestamp()) h
	WHERE d.op <> 'removed' AND d.quantity < held`,
	say: func(_ *inspection, cells []string) standin.Finding {
		key := standin.StockKey{PartNumber: cells[0], Revision: cells[1], Condition: cells[2], Location: cells[3]}
		return standin.Finding{Code: standin.ShortStock, Column: "quantity", Value: cells[4],
			Message: fmt.Sprintf("%s has %s and %s on hold; the holds stay, see whom they are for", key, cells[4], cells[5])}
	}}, "stock"}
