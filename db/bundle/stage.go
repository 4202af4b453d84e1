package bundle

import (
	"context"
	"fmt"
	"iter"

	"standin"
	"standin/db/internal/pg"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
)

// The rows of a bundle are staged in temporary tables, stage_<file>, with the columns
// of the view bundle.<file> and three more: place, where the row is in the bundle;
// removed, true for a stored row that is to be removed; and absent, a bit for each
// column that the table of the row does not have (see bitOf).

func stageOf(f standin.File) string { return "stage_" + f.Name }

// bundleFile is a file that was staged, with its name for findings.
type bundleFile struct {
	standin.File
	name string
}

// placeOf returns the place of a row, which combines the number of its file among
// those staged with its line. Places are in the order of the bundle.
func placeOf(file, line int) int64 { return int64(file)<<32 | int64(uint32(line)) }

// Stage adds the rows of one file to the bundle. An error among the rows is returned
// as it is.
func (t *importTx) Stage(ctx context.Context, file standin.File, fileName string, rows iter.Seq2[standin.Row, error]) error {
	if t.sealed {
		return fmt.Errorf("bundle: %s comes after the bundle was checked", fileName)
	}
	if err := t.createStage(ctx, file); err != nil {
		return err
	}
	t.files = append(t.files, bundleFile{file, fileName})
	source := newStageSource(file, len(t.files)-1, rows)
	defer source.stop()
	_, err := t.tx.CopyFrom(ctx, pgx.Identifier{stageOf(file)}, append([]string{"place", "absent"}, columnNames(file)...), source)
	t.absent[file.Name] |= source.absent
	if source.err != nil {
		return source.err
	}
	return pg.Translate(err)
}

// createStage creates the stage of a file where there is none yet.
func (t *importTx) createStage(ctx context.Context, f standin.File) error {
	if t.staged[f.Name] {
		return nil
	}
	t.staged[f.Name] = true
	return t.exec(ctx, fmt.Sprintf(`CREATE TEMPORARY TABLE %s ON COMMIT DROP AS
		SELECT NULL::bigint AS place, NULL::boolean AS removed, NULL::bigint AS absent, %s FROM bundle.%s WITH NO DATA;
		ALTER TABLE %[1]s ALTER removed SET DEFAULT false, ALTER removed SET NOT NULL,
			ALTER absent SET DEFAULT 0, ALTER absent SET NOT NULL`, stageOf(f), columnList(f, ""), f.Name))
}

// stageSource hands rows to COPY one at a time.
type stageSource struct {
	file   standin.File
	number int // of the file among those staged
	next   func() (standin.Row, error, bool)
	stop   func()
	values []any
	bits   []int64 // of the columns
	absent int64   // columns that some row does not have
	err    error
}

func newStageSource(file standin.File, number int, rows iter.Seq2[standin.Row, error]) *stageSource {
	s := &stageSource{file: file, number: number, values: make([]any, 2+len(file.Columns))}
	for _, c := range file.Columns {
		s.bits = append(s.bits, bitOf(file, c.Name))
	}
	s.next, s.stop = iter.Pull2(rows)
	return s
}

func (s *stageSource) Next() bool {
	row, err, ok := s.next()
	if ok && err == nil && len(row.Cells) != len(s.file.Columns) {
		err = fmt.Errorf("bundle: line %d of %s has %d cells for %d columns", row.Line, s.file.Name, len(row.Cells), len(s.file.Columns))
	}
	if err != nil || !ok {
		s.err = err
		return false
	}
	absent := int64(0)
	for i, c := range s.file.Columns {
		if row.Cells[i] == (standin.Absent{}) {
			absent |= s.bits[i]
			s.values[2+i] = stagedValue(c, nil)
			continue
		}
		s.values[2+i] = stagedValue(c, row.Cells[i])
	}
	s.values[0], s.values[1] = placeOf(s.number, row.Line), absent
	s.absent |= absent
	return true
}

func (s *stageSource) Values() ([]any, error) { return s.values, nil }
func (s *stageSource) Err() error             { return s.err }

// stagedValue returns a cell as the view will show it once it is stored. An empty
// text or list is not recorded, unless the column has a word for an empty list.
func stagedValue(c standin.Column, cell any) any {
	switch v := cell.(type) {
	case nil:
		return emptyValue(c)
	case string:
		if v == "" {
			return emptyValue(c)
		}
	case standin.Date:
		return pgtype.Date{Time: v.Time(), Valid: true}
	case []string:
		if len(v) > 0 {
			return v
		}
		if c.None {
			return []string{}
		}
		return nil
	case []float64:
		if len(v) == 0 {
			return nil
		}
	}
	return cell
}

func emptyValue(c standin.Column) any {
	if c.Key && isText(c) {
		return ""
	}
	return nil
}

func isText(c standin.Column) bool {
	switch c.Kind {
	case standin.Text, standin.Enum, standin.Regexp, standin.GTIN, standin.PatternCell, standin.VoltsCell:
		return true
	}
	return false
}
