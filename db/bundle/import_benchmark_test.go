package bundle

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"standin/db/dbtest"
	"standin/importer/generate"
	"standin/migrations"
)

// BenchmarkImport measures an import as people see it, a program of its own that
// reads a generated bundle of CSV files with all checks, for 100,000 configurations
// of 20,000 models. Beside it, in the same run, stand the bundle imported again,
// which changes nothing, and a bare COPY of what was stored into tables with the
// same constraints and indexes, and into such tables as they were when exclusion
// constraints kept spans from overlapping. STANDIN_BENCH_ROWS=1000000 adds the same for so
// many configurations, and the ratios of the two sizes.
func BenchmarkImport(b *testing.B) {
	small := benchRows
	large, err := strconv.Atoi(os.Getenv("STANDIN_BENCH_ROWS"))
	if err != nil {
		large = 0
	}
	for b.Loop() {
		one := measureImport(b, small)
		one.report(b, "")
		if large > 0 {
			many := measureImport(b, large)
			many.report(b, "-large")
			b.ReportMetric(many.first.Seconds()/float64(large)/(one.first.Seconds()/float64(small)), "large/small-a-row")
			b.ReportMetric(many.resident/one.resident, "large/small-resident")
		}
	}
}

const (
	benchRows            = 100_000
	configurationsAModel = 5
)

// measured is what an import of a bundle took.
type measured struct {
	bare, excluding, first, again time.Duration
	resident                      float64 // of the importing program at most, in MB
}

func (m measured) report(b *testing.B, suffix string) {
	b.ReportMetric(m.bare.Seconds(), "s/bare-copy"+suffix)
	b.ReportMetric(m.first.Seconds(), "s/import"+suffix)
	b.ReportMetric(m.first.Seconds()/m.bare.Seconds(), "import/bare-copy"+suffix)
	b.ReportMetric(m.first.Seconds()/m.excluding.Seconds(), "import/excluding-copy"+suffix)
	b.ReportMetric(m.again.Seconds()/m.first.Seconds(), "again/import"+suffix)
	b.ReportMetric(m.resident, "MB-resident"+suffix)
}

func measureImport(b *testing.B, configurations int) (m measured) {
	b.Helper()
	bundle := filepath.Join(b.TempDir(), "bundle")
	c := generate.Catalogue{Models: configurations / configurationsAModel, Configurations: configurations, Seed: 1}
	if err := c.Write(bundle); err != nil {
		b.Fatal(err)
	}
	url := dbtest.New(b)
	m.first, m.resident = importInChild(b, url, bundle)
	var resident float64
	m.again, resident = importInChild(b, url, bundle)
	m.resident = max(m.resident, resident)
	m.bare = copyBare(b, url, dbtest.New(b))
	excluding := dbtest.New(b)
	exclude(b, excluding)
	m.excluding = copyBare(b, url, excluding)
	return m
}

// importInChild is how long a program of its own takes, and the memory it had.
func importInChild(b *testing.B, url, bundle string) (time.Duration, float64) {
	b.Helper()
	c := newChild(url, bundle)
	began := time.Now()
	if err := c.Run(); err != nil {
		b.Fatalf("%v: %s", err, c.said())
	}
	took := time.Since(began)
	usage := c.ProcessState.SysUsage().(*syscall.Rusage)
	b.Logf("%s in %.1f s, %d MB resident", c.said(), took.Seconds(), usage.Maxrss/1024)
	return took, float64(usage.Maxrss) / 1024
}

// copiedTables are those an import fills, each after those it refers to.
var copiedTables = []string{"sources", "procedures", "procedure_steps", "families", "layouts", "connectors", "parts", "adaptors",
	"boards", "revisions", "markings", "ratings", "supersessions", "serial_rules", "models", "twins", "builds", "loads",
	"configurations", "presets", "stock"}

// copyBare is how long COPY takes to write every row of one database into another,
// in one transaction.
func copyBare(b *testing.B, from, to string) time.Duration {
	b.Helper()
	ctx := b.Context()
	source, target := connectTo(b, from), connectTo(b, to)
	columns, files := map[string]string{}, map[string]*os.File{}
	for _, table := range copiedTables {
		columns[table] = columnsToCopy(b, source, table)
		f, err := os.Create(filepath.Join(b.TempDir(), table))
		if err != nil {
			b.Fatal(err)
		}
		defer f.Close()
		files[table] = f
		if _, err := source.PgConn().CopyTo(ctx, f, fmt.Sprintf("COPY %s (%s) TO STDOUT", table, columns[table])); err != nil {
			b.Fatal(err)
		}
	}
	began := time.Now()
	err := pgx.BeginFunc(ctx, target, func(tx pgx.Tx) error {
		for _, table := range copiedTables {
			if _, err := files[table].Seek(0, io.SeekStart); err != nil {
				return err
			}
			if _, err := target.PgConn().CopyFrom(ctx, files[table], fmt.Sprintf("COPY %s (%s) FROM STDIN", table, columns[table])); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	return time.Since(began)
}

// exclude gives a database the exclusion constraints that spans had before
// migration 9.
func exclude(b *testing.B, url string) {
	b.Helper()
	down, err := migrations.FS.ReadFile("000009_spans.down.sql")
	if err != nil {
		b.Fatal(err)
	}
	if _, err := connectTo(b, url).Exec(b.Context(), string(down)); err != nil {
		b.Fatal(err)
	}
}

// columnsToCopy are the columns of a table that are not worked out of others.
func columnsToCopy(b *testing.B, conn *pgx.Conn, table string) (columns string) {
	b.Helper()
	err := conn.QueryRow(b.Context(), `SELECT string_agg(quote_ident(attname), ', ' ORDER BY attnum) FROM pg_attribute
		WHERE attrelid = $1::text::regclass AND attnum > 0 AND NOT attisdropped AND attgenerated = ''`, table).Scan(&columns)
	if err != nil {
		b.Fatal(err)
	}
	return columns
}

func connectTo(t testing.TB, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	return conn
}
