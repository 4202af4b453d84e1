package db

import (
	"context"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// SettingsNear returns the settings whose patterns are nearest to a reading. They
// are found in an index in memory and then read from the catalogue, which must be
// at the version of the index. Where the catalogue keeps changing it is an error
// (CodeConflict).
func (db *DB) SettingsNear(ctx context.Context, reading standin.Reading, limit int) (*standin.NearSettings, error) {
	const attempts = 3 // an import between the two is rare
	now, err := db.askEdition(ctx)
	if err != nil {
		return nil, err
	}
	for range attempts {
		x, err := db.patternsAtLeast(ctx, now)
		if err != nil {
			return nil, err
		}
		near, err := x.index.Nearest(reading, limit)
		if err != nil {
			return nil, err
		}
		found := &standin.NearSettings{Exact: near.Exact, Compared: near.Rows}
		if found.Settings, now, err = db.settings(ctx, x, firstOf(near, limit)); err != nil {
			return nil, err
		}
		if now == x.edition {
			return found, nil
		}
	}
	return nil, &standin.Error{Code: standin.CodeConflict, Message: "the catalogue is being changed; ask again in a moment"}
}

// firstOf returns the numbers of the nearest settings.
func firstOf(near standin.Nearest, limit int) []int64 {
	var settings []int64
	for _, p := range near.Patterns {
		settings = append(settings, p.Rows...)
	}
	return settings[:min(limit, len(settings))]
}

const configurationsByIDSQL = `
SELECT c.id, c.family_id, f.family, m.brand, m.model, m.variant, coalesce(b.build, ''), c.issue_from, c.issue_to, c.code, c.pattern, coalesce(s.source, '')
FROM configurations c
JOIN families f ON f.id = c.family_id
JOIN models m ON m.id = c.model_id
LEFT JOIN builds b ON b.id = c.build_id
LEFT JOIN sources s ON s.id = c.source_id
WHERE c.id = ANY ($1)`

// The families of some configurations, kept for the statement that reads
// families (see dossier.go).
const chooseFamiliesSQL = `
SELECT set_config('standin.families', ARRAY(SELECT DISTINCT family_id FROM configurations WHERE id = ANY ($1))::text, true)`

// settings reads settings by number, and the edition of the catalogue. It returns no
// settings where that is not the edition of the index.
func (db *DB) settings(ctx context.Context, x *patternIndex, numbers []int64) ([]standin.NearSetting, edition, error) {
	var ids []int64
	for _, n := range numbers {
		ids = append(ids, x.configurationsOf(n)...)
	}
	var l *load
	var read map[int64]ofFamily
	err := db.Ask(ctx, func(b *pgx.Batch) {
		l, read = newLoad(nil), map[int64]ofFamily{}
		l.edition.queue(b)
		b.Queue(chooseFamiliesSQL, ids)
		b.Queue(familiesSQL).Query(l.readFamilies)
		b.Queue(configurationsByIDSQL, ids).Query(func(rows pgx.Rows) error { return readByID(rows, read) })
	})
	if err != nil {
		return nil, 0, err
	}
	if l.edition != x.edition {
		return nil, l.edition, nil
	}
	settings := make([]standin.NearSetting, len(numbers))
	for i, n := range numbers {
		s := &settings[i]
		for _, id := range x.configurationsOf(n) {
			s.Configurations = append(s.Configurations, read[id].Configuration)
		}
		first := read[x.configurationsOf(n)[0]]
		s.Code, s.Pattern, s.Family, s.Count = first.Code, first.Pattern, l.families[first.family], int(x.counts[n])
	}
	return settings, l.edition, nil
}

// ofFamily is a configuration and the id of its family.
type ofFamily struct {
	standin.Configuration
	family int64
}

func readByID(rows pgx.Rows, into map[int64]ofFamily) error {
	var c ofFamily
	var id int64
	var from, to pgtype.Int4
	_, err := pgx.ForEachRow(rows, []any{&id, &c.family, &c.Family, &c.Model.Brand, &c.Model.Model, &c.Model.Variant, &c.Build, &from, &to, &c.Code, &c.Pattern, &c.Source}, func() error {
		c.IssueFrom, c.IssueTo = maybeInt(from), maybeInt(to)
		into[id] = c
		return nil
	})
	return err
}
