package shop

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"standin"
)

const (
	// The counts of what is not in the catalogue, by their position from 1.
	unknownCountsSQL = `SELECT c.place FROM unnest($1::text[], $2::text[]) WITH ORDINALITY AS c (part_number, revision, place)
		LEFT JOIN parts p ON p.part_number = c.part_number
		LEFT JOIN revisions r ON r.part_id = p.id AND r.revision = c.revision
		WHERE p.id IS NULL OR c.revision <> '' AND r.id IS NULL
		ORDER BY c.place`
	// The lines are created in the order in which everyone locks them.
	ensureCountsSQL = `INSERT INTO stock (location, part_id, revision_id, condition, quantity)
		SELECT $1, p.id, r.id, c.condition, 0
		FROM unnest($2::text[], $3::text[], $4::text[]) AS c (part_number, revision, condition)
		JOIN parts p ON p.part_number = c.part_number
		LEFT JOIN revisions r ON r.part_id = p.id AND r.revision = c.revision
		ORDER BY p.id, r.id, c.condition
		ON CONFLICT (part_id, location, revision_id, condition) DO NOTHING
		RETURNING (SELECT part_number FROM parts WHERE id = part_id),
			coalesce((SELECT revision FROM revisions r WHERE r.id = revision_id), ''), condition`
	lockLocationSQL = `SELECT p.part_number, coalesce(r.revision, ''), s.condition` + recordsFrom + ` WHERE s.location = $1
		ORDER BY s.part_id, s.revision_id, s.condition FOR UPDATE OF s`
	locationSQL = `SELECT ` + recordColumns + recordsFrom + ` WHERE s.location = $1
		ORDER BY p.part_number, coalesce(r.revision, ''), s.condition`
	writeCountsSQL = `UPDATE stock s SET quantity = c.quantity
		FROM unnest($2::text[], $3::text[], $4::text[], $5::integer[]) AS c (part_number, revision, condition, quantity)
		JOIN parts p ON p.part_number = c.part_number
		LEFT JOIN revisions r ON r.part_id = p.id AND r.revision = c.revision
		WHERE s.location = $1 AND s.part_id = p.id AND s.revision_id IS NOT DISTINCT FROM r.id AND s.condition = c.condition`
	countMovesSQL = `INSERT INTO stock_moves (at, by, kind, location, part_number, revision, condition, quantity, before, after, reason, reference)
		SELECT clock_timestamp(), $6, 'counted', $1, c.part_number, c.revision, c.condition, c.quantity, c.before, c.quantity, $8, $9
		FROM unnest($2::text[], $3::text[], $4::text[], $5::integer[], $7::integer[]) AS c (part_number, revision, condition, quantity, before)`
	// Only one count of a location may be in progress at a time.
	lockCountSQL = `SELECT pg_advisory_xact_lock(hashtextextended($1, 0))`
)

// PutLocation sets what a location has; lines that are not counted are set to 0.
// Lines that are not in the catalogue are an error (CodeRejected), or are left out
// and returned where put says so.
func (s *Store) PutLocation(ctx context.Context, put standin.LocationPut) (result standin.LocationCounted, err error) {
	if err := put.Check(); err != nil {
		return result, err
	}
	err = s.inTx(ctx, put.By, func(ctx context.Context, w *work) error {
		known, unknown, err := w.splitCounts(ctx, put)
		if err != nil {
			return err
		}
		result = standin.LocationCounted{Unknown: unknown}
		lines, err := w.lockLocation(ctx, put.Location, known)
		if err != nil {
			return err
		}
		w.count(put, lines, known, &result)
		return nil
	})
	return result, err
}

// splitCounts separates the counts from those of what is not in the catalogue.
func (w *work) splitCounts(ctx context.Context, put standin.LocationPut) (known []standin.Count, unknown []standin.StockKey, err error) {
	c := columnsOf(put.Counts)
	rows, err := w.tx.Query(ctx, unknownCountsSQL, c.parts, c.revisions)
	if err != nil {
		return nil, nil, err
	}
	places, err := pgx.CollectRows(rows, pgx.RowTo[int])
	if err != nil {
		return nil, nil, err
	}
	for i, count := range put.Counts {
		if len(places) == 0 || places[0] != i+1 {
			known = append(known, count)
			continue
		}
		places = places[1:]
		key := count.At(put.Location)
		if !put.SkipUnknown {
			return nil, nil, refuse(standin.CodeRejected, fmt.Sprintf("/lines/%d", i), fmt.Sprintf(
				"%s is not in the catalogue; nothing was changed, skip_unknown=true leaves such lines out", key))
		}
		unknown = append(unknown, key)
	}
	return known, unknown, nil
}

// lockLocation locks every line of a location and creates those that are counted and
// do not exist.
func (w *work) lockLocation(ctx context.Context, location string, known []standin.Count) (lines []locked, err error) {
	c := columnsOf(known)
	made, ours := map[standin.StockKey]bool{}, map[standin.StockKey]bool{}
	keysInto := func(keys map[standin.StockKey]bool) func(pgx.Rows) error {
		return func(rows pgx.Rows) error {
			key := standin.StockKey{Location: location}
			_, err := pgx.ForEachRow(rows, []any{&key.PartNumber, &key.Revision, &key.Condition}, func() error {
				keys[key] = true
				return nil
			})
			return err
		}
	}
	batch := &pgx.Batch{}
	batch.Queue(lockCountSQL, "location "+location)
	batch.Queue(changeStockSQL)
	batch.Queue(ensureCountsSQL, location, c.parts, c.revisions, c.conditions).Query(keysInto(made))
	batch.Queue(lockLocationSQL, location).Query(keysInto(ours))
	batch.Queue(locationSQL, location).Query(func(rows pgx.Rows) error {
		records, err := pgx.CollectRows(rows, scanRecord)
		for _, r := range records {
			if ours[r.StockKey] { // else it was inserted after the lock
				lines = append(lines, locked{StockRecord: r, created: made[r.StockKey], there: true})
			}
		}
		return err
	})
	return lines, w.tx.SendBatch(ctx, batch).Close()
}

// count queues the changes that a count makes to locked lines.
func (w *work) count(put standin.LocationPut, lines []locked, known []standin.Count, result *standin.LocationCounted) {
	quantities := make(map[standin.StockKey]int, len(known))
	for _, c := range known {
		quantities[c.At(put.Location)] = c.Quantity
	}
	var changed []standin.Count
	var before []int
	for _, line := range lines {
		quantity := quantities[line.StockKey] // 0 where it was not counted
		switch {
		case line.created:
			result.Added++
		case line.Quantity == quantity:
			result.Unchanged++
			continue
		default:
			result.Changed++
		}
		changed = append(changed, standin.Count{
			PartNumber: line.PartNumber, Revision: line.Revision, Condition: line.Condition, Quantity: quantity,
		})
		before = append(before, line.Quantity)
		w.changedLine(line, quantity)
		line.Quantity = quantity
		if line.Short() > 0 {
			result.Short = append(result.Short, line.StockRecord)
		}
	}
	if len(changed) == 0 {
		return
	}
	c := columnsOf(changed)
	w.last.Queue(writeCountsSQL, put.Location, c.parts, c.revisions, c.conditions, c.quantities)
	w.last.Queue(countMovesSQL, put.Location, c.parts, c.revisions, c.conditions, c.quantities, put.By, before, put.Reason, put.Reference)
}

// columns are counts as one list per column.
type columns struct {
	parts, revisions, conditions []string
	quantities                   []int
}

func columnsOf(counts []standin.Count) (c columns) {
	for _, one := range counts {
		c.parts = append(c.parts, one.PartNumber)
		c.revisions = append(c.revisions, one.Revision)
		c.conditions = append(c.conditions, one.Condition)
		c.quantities = append(c.quantities, one.Quantity)
	}
	return c
}
