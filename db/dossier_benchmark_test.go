package db

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"standin"
)

// grow is a catalogue of MODELS models. What surrounds one model is the same
// whatever the size: three builds with a harness of 12 connectors each, a fixed
// board with two successors and a family of four boards, each of five revisions,
// two configurations, three loads.
const grow = `
INSERT INTO sources (source) SELECT 'bulletin ' || n FROM generate_series(1, 50) n;
INSERT INTO procedures (procedure) SELECT 'dial ' || n FROM generate_series(1, 20) n;
INSERT INTO procedure_steps (procedure_id, phase, step, "do")
SELECT n, phase, step, 'turn the dial' FROM generate_series(1, 20) n, unnest(ARRAY['enter', 'symbol', 'finish', 'readback']) phase, generate_series(1, 3) step ORDER BY n;
INSERT INTO families (family, selector, code_length, readback, procedure_id)
SELECT 'F' || n, '{A,B,C,D,E,F}', 4, '{1,2,3,4,5,6,7,8}', 1 + n % 20 FROM generate_series(1, MODELS / 100) n;
INSERT INTO layouts (layout) SELECT 'layout ' || n FROM generate_series(1, MODELS / 10) n;
INSERT INTO connectors (layout_id, connector, ways, pitch_mm, key, circuits)
SELECT n, 'CN' || c, 2 + (n + c) % 9, 2.5, 'k' || c % 3, ARRAY(SELECT 'circuit-' || g FROM generate_series(1, 2 + (n + c) % 9) g)
FROM generate_series(1, MODELS / 10) n, generate_series(1, 12) c ORDER BY n;
INSERT INTO parts (part_number, kind) SELECT 'B-' || n, 'board' FROM generate_series(1, MODELS / 20) n;
INSERT INTO parts (part_number, kind) SELECT 'AD-' || n, 'adaptor' FROM generate_series(1, 20) n;
INSERT INTO layouts (layout) SELECT 'loom ' || n FROM generate_series(1, 40) n;
INSERT INTO connectors (layout_id, connector, ways, pitch_mm, key)
SELECT l.id, 'P' || c, 2 + l.id % 12, 2.5, 'k' || c FROM layouts l, generate_series(1, 2) c WHERE layout LIKE 'loom %';
INSERT INTO boards (part_id, family_id) SELECT n, CASE WHEN n % 5 > 0 THEN 1 + n / 5 % (MODELS / 100) END FROM generate_series(1, MODELS / 20) n;
INSERT INTO adaptors (part_id, takes_layout_id, gives_layout_id)
SELECT p.id, MODELS / 10 + n, MODELS / 10 + 20 + n FROM generate_series(1, 20) n JOIN parts p ON part_number = 'AD-' || n;
INSERT INTO revisions (part_id, revision, issue, layout_id, options, volts_min, volts_max, hertz)
SELECT n, 'R' || i, i, 1 + (n * 3 + i) % (MODELS / 10), '{hot-valve}', 207, 253, '{50,60}' FROM generate_series(1, MODELS / 20) n, generate_series(1, 5) i ORDER BY n;
INSERT INTO ratings (revision_id, circuit, max_amps) SELECT r.id, 'circuit-' || c, 10 FROM revisions r, generate_series(1, 4) c ORDER BY r.id;
INSERT INTO supersessions (old_part_id, new_part_id) SELECT n * 5, (n * 5 + d - 1) % (MODELS / 20) + 1 FROM generate_series(1, MODELS / 100) n, generate_series(1, 2) d;
INSERT INTO models (brand, model, variant, volts, hertz) SELECT 'Brand ' || n % 40, 'M' || n || chr(65 + n % 26), '', 230, 50 FROM generate_series(1, MODELS) n;
INSERT INTO builds (model_id, build, made_from, made_to, made, part_id, layout_id, needs, source_id)
SELECT n, 'b' || b, make_date(2000 + b, 1, 1), make_date(2000 + b, 12, 31), daterange(make_date(2000 + b, 1, 1), make_date(2000 + b, 12, 31), '[]'),
	5 * (1 + n / 100 % (MODELS / 100)), 1 + (n + b) % (MODELS / 10), '{hot-valve}', 1 + n % 50
FROM generate_series(1, MODELS) n, generate_series(1, 3) b ORDER BY n;
INSERT INTO loads (model_id, circuit, watts, element) SELECT n, 'circuit-' || c, 500, 'heating' FROM generate_series(1, MODELS) n, generate_series(1, 3) c ORDER BY n;
INSERT INTO configurations (family_id, model_id, issue_from, issue_to, code, pattern, source_id)
SELECT 1 + n / 100 % (MODELS / 100), n, i * 2 - 1, i * 2, '{A,B,C,D}', '10f-10f-', 1 + n % 50 FROM generate_series(1, MODELS) n, generate_series(1, 2) i ORDER BY n;
INSERT INTO stock (location, part_id, condition, quantity) SELECT location, n, 'new', 3 FROM generate_series(1, MODELS / 20) n, unnest(ARRAY['front', 'back']) location ORDER BY n;
ANALYZE`

// openGrown is a database with a catalogue of so many models.
func openGrown(b *testing.B, models int) *DB {
	b.Helper()
	db := openEmpty(b)
	exec(b, db, strings.ReplaceAll(grow, "MODELS", fmt.Sprint(models)))
	return db
}

// asked are machines of models spread over the catalogue, other ones each round.
func asked(models, machines, round int) []standin.Machine {
	all := make([]standin.Machine, machines)
	for i := range all {
		n := 1 + (round*7919+i*13)%models
		all[i] = machine(fmt.Sprintf("Brand %d", n%40), fmt.Sprintf("M%d%c", n, 'A'+n%26), "")
		all[i].OldPart = "B-5"
	}
	return all
}

// bare runs the statements of a dossier and reads their rows, and makes nothing
// of them: what a dossier cannot cost less than.
func (db *DB) bare(ctx context.Context, machines []standin.Machine) (int, error) {
	whole, batch := &pgx.Batch{}, &pgx.Batch{}
	newOwn().queue(whole, question{machines: machines, ids: make([]int64, len(machines))})
	for _, q := range whole.QueuedQueries {
		batch.Queue(q.SQL, q.Arguments...)
	}
	results := db.pool.SendBatch(ctx, batch)
	size := 0
	for range batch.Len() {
		rows, err := results.Query()
		if err != nil {
			return 0, err
		}
		for rows.Next() {
			for _, value := range rows.RawValues() {
				size += len(value)
			}
		}
		if err := rows.Err(); err != nil {
			return 0, err
		}
	}
	return size, results.Close()
}

// The dossier beside the bare SQL, and beside itself in a catalogue a hundredth
// of the size, turn by turn so that what else the machine does meanwhile weighs
// on all alike. The figures are lower quartiles and their ratios, each to be at
// most 1.3: x-bare, and for one machine x-small.
func BenchmarkDossier(b *testing.B) {
	sizes := []int{1_000, 100_000}
	dbs := []*DB{openGrown(b, sizes[0]), openGrown(b, sizes[1])}
	for _, machines := range []int{1, 1_000} {
		b.Run(fmt.Sprintf("machines=%d", machines), func(b *testing.B) {
			var bare, dossier [2][]time.Duration
			for round := 0; b.Loop(); round++ {
				for i, db := range dbs {
					machines := asked(sizes[i], machines, round)
					bare[i] = append(bare[i], took(b, func() (int, error) { return db.bare(b.Context(), machines) }))
					dossier[i] = append(dossier[i], took(b, func() (int, error) {
						got, err := db.Dossiers(b.Context(), machines)
						return len(got[len(got)-1].Boards), err
					}))
				}
			}
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(quartile(dossier[1]).Seconds()*1e3, "ms/dossiers")
			b.ReportMetric(quartile(dossier[1]).Seconds()/quartile(bare[1]).Seconds(), "x-bare")
			if machines == 1 {
				b.ReportMetric(quartile(dossier[1]).Seconds()/quartile(dossier[0]).Seconds(), "x-small")
			}
		})
	}
}

// took is how long something takes that must give more than nothing.
func took(b *testing.B, do func() (int, error)) time.Duration {
	b.Helper()
	start := time.Now()
	if n, err := do(); err != nil || n == 0 {
		b.Fatal(n, err)
	}
	return time.Since(start)
}

func quartile(times []time.Duration) time.Duration {
	slices.Sort(times)
	return times[len(times)/4]
}

// Finding among a million models: written right, misread, only begun, and with a
// letter wrong, which plain indexes cannot find.
func BenchmarkFindModels(b *testing.B) {
	db := openMillion(b)
	for name, typed := range map[string]string{
		"exact": "Brand 17 M100017V", "misread": "8RAND I7 MIOOOI7V", "no_brand": "M100017V", "begun": "M1000",
		"brand_wrong": "Brend 17 M100017V", "letter_wrong": "Brand 17 M100017X", "unknown": "XQ 17",
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if got, err := db.FindModels(b.Context(), typed, 10); err != nil || len(got) == 0 && name != "unknown" {
					b.Fatal(err, "nothing is found")
				}
			}
		})
	}
}

// openMillion is a catalogue of a million models and nothing else.
func openMillion(b *testing.B) *DB {
	b.Helper()
	db := openEmpty(b)
	exec(b, db, `
		INSERT INTO models (brand, model) SELECT 'Brand ' || n % 40, 'M' || n || chr(65 + n % 26) FROM generate_series(1, 1000000) n;
		ANALYZE models`)
	return db
}
