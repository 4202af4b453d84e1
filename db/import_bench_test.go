package db

import (
	"context"
	"fmt"
	"iter"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
)

// BenchmarkImport imports 100,000 configurations of 20,000 models into an empty
// catalogue, and again with nothing to change. Beside it stands a bare COPY of the
// same rows into the same tables, with their constraints and indexes.
func BenchmarkImport(b *testing.B) {
	for b.Loop() {
		bare := timed(b, openEmpty(b), copyBare)
		db := openEmpty(b)
		first, again := timed(b, db, importLarge), timed(b, db, importLarge)
		b.ReportMetric(bare.Seconds(), "s/bare-copy")
		b.ReportMetric(first.Seconds(), "s/import")
		b.ReportMetric(first.Seconds()/bare.Seconds(), "import/bare-copy")
		b.ReportMetric(again.Seconds()/first.Seconds(), "again/import")
	}
}

const (
	largeModels          = 20_000
	configurationsAModel = 5
	largeFamilies        = configurationsAModel * 8
)

func timed(b *testing.B, db *DB, do func(*testing.B, *DB)) time.Duration {
	began := time.Now()
	do(b, db)
	return time.Since(began)
}

func importLarge(b *testing.B, db *DB) {
	tx := openTx(b, db)
	for _, name := range []string{"families", "models", "configurations"} {
		file, _ := standin.FileNamed(name)
		if err := tx.Stage(b.Context(), file, name+".csv", largeRows(name)); err != nil {
			b.Fatal(err)
		}
	}
	if found := findings(b, tx); found != "" {
		b.Fatal(found)
	}
	if _, err := tx.Diff(b.Context(), 10); err != nil {
		b.Fatal(err)
	}
	if _, err := tx.Commit(b.Context()); err != nil {
		b.Fatal(err)
	}
}

// largeRows are the rows of a file of the large bundle.
func largeRows(file string) iter.Seq2[standin.Row, error] {
	return func(yield func(standin.Row, error) bool) {
		line := 1
		row := func(cells ...any) bool {
			line++
			return yield(standin.Row{Line: line, Cells: cells}, nil)
		}
		switch file {
		case "families":
			for n := range largeFamilies {
				row(familyName(n), nil, []string{"A", "B", "C", "D"}, int64(4), []string{"1", "2", "3", "4"}, nil, nil)
			}
		case "models":
			for n := range largeModels {
				if !row(brandName(n), modelName(n), nil, "washer", nil, nil, 230., 50., nil) {
					return
				}
			}
		case "configurations":
			for n := range configurationsAModel * largeModels {
				m := n / configurationsAModel
				if !row(familyName(n), brandName(m), modelName(m), nil, nil, nil, nil, largeCode(n), largePattern(n), nil) {
					return
				}
			}
		}
	}
}

func familyName(n int) string { return fmt.Sprintf("family-%d", n%largeFamilies) }
func brandName(n int) string  { return fmt.Sprintf("Brand %d", n%17) }
func modelName(n int) string  { return fmt.Sprintf("WM %07d", n*7919%10_000_019) }

func largeCode(n int) []string {
	code := make([]string, 4)
	for i := range code {
		code[i] = string(rune('A' + n>>(2*i)&3))
	}
	return code
}

func largePattern(n int) string { return fmt.Sprintf("%04b", n&15) }

// copyBare writes the same rows as importLarge with COPY alone.
func copyBare(b *testing.B, db *DB) {
	ctx := b.Context()
	err := db.inTx(ctx, pgx.TxOptions{}, func(tx pgx.Tx) error {
		copyIn := func(table string, columns []string, n int, row func(i int) []any) error {
			_, err := tx.CopyFrom(ctx, pgx.Identifier{table}, columns, pgx.CopyFromSlice(n, func(i int) ([]any, error) { return row(i), nil }))
			return err
		}
		if err := copyIn("families", []string{"family", "selector", "code_length", "readback"}, largeFamilies, func(i int) []any {
			return []any{familyName(i), []string{"A", "B", "C", "D"}, 4, []string{"1", "2", "3", "4"}}
		}); err != nil {
			return err
		}
		if err := copyIn("models", []string{"brand", "model", "kind", "volts", "hertz"}, largeModels, func(i int) []any {
			return []any{brandName(i), modelName(i), "washer", 230., 50.}
		}); err != nil {
			return err
		}
		family, model, err := firstIDs(ctx, tx)
		if err != nil {
			return err
		}
		return copyIn("configurations", []string{"family_id", "model_id", "code", "pattern"}, configurationsAModel*largeModels, func(i int) []any {
			return []any{family + int64(i%largeFamilies), model + int64(i/configurationsAModel), largeCode(i), largePattern(i)}
		})
	})
	if err != nil {
		b.Fatal(err)
	}
}

func firstIDs(ctx context.Context, tx pgx.Tx) (family, model int64, err error) {
	err = tx.QueryRow(ctx, "SELECT (SELECT min(id) FROM families), (SELECT min(id) FROM models)").Scan(&family, &model)
	return family, model, err
}
