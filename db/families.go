package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
	"standin/db/internal/pg"
)

const familiesSQL = `
SELECT f.id, f.family, coalesce(f.title, ''), coalesce(f.method, ''), f.reversible, f.selector, f.code_length, f.readback,
	coalesce(array_to_string(f.alphabet, ' '), ''), coalesce(array_to_string(f.panel, ' '), ''),
	coalesce((SELECT p.procedure FROM procedures p WHERE p.id = f.procedure_id), ''), coalesce(f.note, '')
FROM families f
WHERE f.id = ANY ((SELECT current_setting('standin.families'))::bigint[])`

func (l *load) readFamilies(rows pgx.Rows) error {
	var id int64
	var f familyRow
	_, err := pgx.ForEachRow(rows, append([]any{&id}, f.columns()...), func() error {
		family, err := f.family()
		l.families[id] = &family
		return err
	})
	return err
}

const boardsOfFamiliesSQL = `
SELECT b.family_id, array_agg(b.part_id ORDER BY p.part_number)
FROM boards b
JOIN parts p ON p.id = b.part_id
WHERE b.family_id = ANY ((SELECT current_setting('standin.families'))::bigint[])
GROUP BY b.family_id`

func (l *load) readBoardsOfFamilies(rows pgx.Rows) error {
	var family int64
	var boards []int64
	_, err := pgx.ForEachRow(rows, []any{&family, &boards}, func() error {
		l.ofFamily[family] = boards
		return nil
	})
	return err
}

// familyRow is a family as its row is read.
type familyRow struct {
	standin.Family
	reversible      pgtype.Bool
	alphabet, panel string
}

// columns returns the destinations for the columns of a family.
func (f *familyRow) columns() []any {
	return []any{&f.Name, &f.Title, &f.Method, &f.reversible, &f.Selector, &f.CodeLength, &f.Readback, &f.alphabet, &f.panel, &f.Procedure, &f.Note}
}

// family returns the family that was read.
func (f *familyRow) family() (standin.Family, error) {
	family := f.Family
	family.Reversible = standin.Maybe[bool]{V: f.reversible.Bool, Known: f.reversible.Valid}
	if err := pg.ReadAlphabet(&family, f.alphabet); err != nil {
		return family, err
	}
	var err error
	if family.Panel, err = standin.ParsePanel(f.panel, f.Readback); err != nil {
		return family, pg.Unreadable("panel of family "+f.Name, err)
	}
	return family, nil
}

// The procedures of the families, and those that revisions have instead.
const proceduresSQL = `
SELECT p.procedure, s.phase, s.step, coalesce(s."do", ''), s.hold_seconds, coalesce(s.expect, '')
FROM procedures p
JOIN procedure_steps s ON s.procedure_id = p.id
WHERE p.id = ANY (ARRAY(
	SELECT procedure_id FROM families WHERE id = ANY ((SELECT current_setting('standin.families'))::bigint[])
	UNION
	SELECT procedure_id FROM revisions WHERE part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[])))
ORDER BY p.procedure, array_position(ARRAY['enter', 'symbol', 'finish', 'readback'], s.phase), s.step`

func (l *load) readProcedures(rows pgx.Rows) error {
	return readSteps(rows, l.procedures)
}

// readSteps reads steps, in order, into the procedures they belong to.
func readSteps(rows pgx.Rows, procedures map[string]*standin.Procedure) error {
	var name string
	var s standin.Step
	var hold pgtype.Float8
	_, err := pgx.ForEachRow(rows, []any{&name, &s.Phase, &s.Step, &s.Do, &hold, &s.Expect}, func() error {
		s.HoldSeconds = maybeFloat(hold)
		p := procedures[name]
		if p == nil {
			p = &standin.Procedure{Name: name}
			procedures[name] = p
		}
		p.Steps = append(p.Steps, s)
		return nil
	})
	return err
}
