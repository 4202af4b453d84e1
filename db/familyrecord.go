package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

const listFamiliesSQL = `
SELECT f.family, coalesce(f.title, ''), coalesce(f.method, ''), f.reversible, f.selector, f.code_length, f.readback,
	coalesce(array_to_string(f.alphabet, ' '), ''), coalesce(array_to_string(f.panel, ' '), ''), coalesce(p.procedure, ''), coalesce(f.note, '')
FROM families f
LEFT JOIN procedures p ON p.id = f.procedure_id
WHERE f.family > $1
ORDER BY f.family
LIMIT $2`

// ListFamilies returns at most limit families in the order of their names, those
// after a name.
func (db *DB) ListFamilies(ctx context.Context, after string, limit int) ([]standin.Family, error) {
	return Rows(ctx, db, func(row pgx.CollectableRow) (standin.Family, error) {
		var f familyRow
		if err := row.Scan(f.columns()...); err != nil {
			return f.Family, err
		}
		return f.family()
	}, listFamiliesSQL, after, limit)
}

// The one family, kept for the statements of a dossier (see dossier.go): exactly
// that name, else the only one that is the same without case, spaces and
// punctuation.
const chooseFamilySQL = `
SELECT set_config('standin.families', array_remove(ARRAY[coalesce(
		(SELECT id FROM families WHERE family = $1),
		(SELECT CASE WHEN count(*) = 1 THEN min(id) END FROM families WHERE plain(family) = plain($1)))], NULL)::text, true),
	set_config('standin.boards', '{}', true)`

const boardsOfFamilySQL = `
SELECT p.part_number
FROM boards b
JOIN parts p ON p.id = b.part_id
WHERE b.family_id = ANY ((SELECT current_setting('standin.families'))::bigint[])
ORDER BY p.part_number`

const configurationsOfFamilySQL = `
SELECT f.family, m.brand, m.model, m.variant, coalesce(b.build, ''), c.issue_from, c.issue_to, c.code, coalesce(c.pattern, ''), coalesce(s.source, '')
FROM configurations c
JOIN families f ON f.id = c.family_id
JOIN models m ON m.id = c.model_id
LEFT JOIN builds b ON b.id = c.build_id
LEFT JOIN sources s ON s.id = c.source_id
WHERE c.family_id = ANY ((SELECT current_setting('standin.families'))::bigint[])
ORDER BY m.brand, m.model, m.variant, b.build NULLS FIRST, c.issue_from NULLS FIRST`

// FamilyOf returns one family with its procedure, its boards and every recorded
// configuration. Where there is none it is an error (CodeNotFound).
func (db *DB) FamilyOf(ctx context.Context, name string) (*standin.FamilyRecord, error) {
	record, _, err := db.familyOf(ctx, name)
	return record, err
}

// familyOf also returns the edition of the catalogue that it read.
func (db *DB) familyOf(ctx context.Context, name string) (*standin.FamilyRecord, edition, error) {
	var l *load
	var record standin.FamilyRecord
	err := db.Ask(ctx, func(b *pgx.Batch) {
		l, record = newLoad(nil), standin.FamilyRecord{}
		l.edition.queue(b)
		b.Queue(chooseFamilySQL, name)
		b.Queue(familiesSQL).Query(l.readFamilies)
		b.Queue(proceduresSQL).Query(l.readProcedures)
		b.Queue(boardsOfFamilySQL).Query(func(rows pgx.Rows) (err error) {
			record.Boards, err = pgx.CollectRows(rows, pgx.RowTo[string])
			return err
		})
		b.Queue(configurationsOfFamilySQL).Query(func(rows pgx.Rows) error {
			return readConfigurationsOfFamily(rows, &record.Configurations)
		})
	})
	if err != nil {
		return nil, 0, err
	}
	for _, f := range l.families {
		record.Family, record.Steps = *f, l.procedures[f.Procedure]
		return &record, l.edition, nil
	}
	return nil, 0, &standin.Error{Code: standin.CodeNotFound, Message: fmt.Sprintf("there is no family %s", name), Field: "family"}
}

// readConfigurationsOfFamily reads configurations. Words that many of them share
// are kept in memory once.
func readConfigurationsOfFamily(rows pgx.Rows, all *[]standin.Configuration) error {
	var c standin.Configuration
	var from, to pgtype.Int4
	words := map[string]string{}
	shared := func(word *string) {
		if known, ok := words[*word]; ok {
			*word = known
		} else {
			words[*word] = *word
		}
	}
	_, err := pgx.ForEachRow(rows, []any{&c.Family, &c.Model.Brand, &c.Model.Model, &c.Model.Variant, &c.Build, &from, &to, &c.Code, &c.Pattern, &c.Source}, func() error {
		c.IssueFrom, c.IssueTo = maybeInt(from), maybeInt(to)
		shared(&c.Family)
		shared(&c.Model.Brand)
		shared(&c.Source)
		for i := range c.Code {
			shared(&c.Code[i])
		}
		*all = append(*all, c)
		return nil
	})
	return err
}
