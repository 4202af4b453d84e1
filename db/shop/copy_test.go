package shop_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/db/shop"
	"standin/importer"
)

// mirror is a copy that is kept by the feed alone.
type mirror struct {
	rows  map[string]map[string]string // by kind and key, as canonical JSON
	after standin.FeedPosition
}

// apply applies rows in order. What a row says was there before must be what the
// copy has: a row that was skipped, or came twice or too early, is noticed.
func (m *mirror) apply(rows []standin.FeedRow) error {
	for _, r := range rows {
		if m.rows[r.Kind] == nil {
			m.rows[r.Kind] = map[string]string{}
		}
		key, had := canonical(r.Key), ""
		if r.Before != nil {
			had = canonical(r.Before)
		}
		if have := m.rows[r.Kind][key]; have != had {
			return fmt.Errorf("at %v, %s %s: the copy has %q, the change says %q", r.FeedPosition, r.Kind, key, have, had)
		}
		if delete(m.rows[r.Kind], key); r.After != nil {
			m.rows[r.Kind][key] = canonical(r.After)
		}
		m.after = r.FeedPosition
	}
	return nil
}

func canonical(text []byte) string {
	var value any
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	if err := decoder.Decode(&value); err != nil {
		return err.Error()
	}
	out, _ := json.Marshal(value)
	return string(out)
}

// TestCopyUnderLoad keeps a copy while many change stock, holds and fittings at
// two servers, bundles are imported and undone, and connections are ended: in the
// end it is the same as what is stored.
func TestCopyUnderLoad(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	one, _ := openAt(t, url)
	two, _ := openAt(t, url)
	watch, database := openAt(t, dbtest.Named(t, url, "watcher"))
	folder := t.TempDir()
	importBundle(t, database, folder, 0)

	ctx, stop := context.WithTimeout(t.Context(), 6*time.Second)
	defer stop()
	var clients sync.WaitGroup
	for i := range 12 {
		clients.Go(func() { work(ctx, []*shop.Store{one, two}[i%2], rand.New(rand.NewPCG(7, uint64(i)))) })
	}
	clients.Go(func() {
		for n := 1; ctx.Err() == nil && !t.Failed(); n++ {
			importBundle(t, database, folder, n)
			time.Sleep(200 * time.Millisecond)
		}
	})
	clients.Go(func() {
		for ctx.Err() == nil {
			time.Sleep(300 * time.Millisecond)
			exec(t, database, `SELECT pg_terminate_backend(pid) FROM pg_stat_activity
				WHERE datname = current_database() AND application_name <> 'watcher' AND state <> 'idle' ORDER BY random() LIMIT 1`)
		}
	})
	m := &mirror{rows: map[string]map[string]string{}}
	follow := func() int {
		rows, err := watch.ReadFeed(t.Context(), m.after, 37)
		if err == nil {
			err = m.apply(rows)
		}
		if err != nil {
			t.Fatal(err)
		}
		return len(rows)
	}
	read := 0
	for ctx.Err() == nil {
		read += follow()
	}
	clients.Wait()
	for n := follow(); n > 0; n = follow() {
		read += n
	}
	for kind, want := range stored(t, database) {
		if diff := cmp.Diff(want, m.rows[kind], equateEmpty); diff != "" {
			t.Errorf("%s (-stored +copy):\n%.2000s", kind, diff)
		}
	}
	if len(m.rows["holds"]) < 10 || len(m.rows["fittings"]) < 10 || len(m.rows["stock"]) == 0 || len(m.rows["models"]) == 0 {
		t.Errorf("there was too little to copy: %d holds, %d fittings", len(m.rows["holds"]), len(m.rows["fittings"]))
	}
	t.Logf("%d changes were read", read)
}

var equateEmpty = cmp.Transformer("empty", func(m map[string]string) map[string]string {
	if m == nil {
		return map[string]string{}
	}
	return m
})

// work does one thing after the other until the context ends. Whether each can be
// done does not matter here.
func work(ctx context.Context, store *shop.Store, r *rand.Rand) {
	var held []int64
	for ctx.Err() == nil {
		key := line([]string{"front", "back"}[r.IntN(2)], "70-1001", []string{"A", ""}[r.IntN(2)])
		switch n := 1 + r.IntN(3); r.IntN(8) {
		case 0, 1:
			_, _ = store.MoveStock(ctx, move("received", key, n), standin.Once{})
		case 2:
			_, _ = store.MoveStock(ctx, move("sold", key, n), standin.Once{})
		case 3:
			key.Location = "front"
			_, _ = store.MoveStock(ctx, moved(key, "back", n), standin.Once{})
		case 4:
			_, _ = store.PutLocation(ctx, standin.LocationPut{Location: "back", Counts: []standin.Count{{PartNumber: "70-1001", Revision: "A", Condition: "new", Quantity: n}}, By: "till"})
		case 5:
			if h, err := store.Hold(ctx, hold(key, n), standin.Once{}); err == nil {
				held = append(held, h.ID)
			}
		case 6:
			if len(held) > 0 {
				id := held[len(held)-1]
				held = held[:len(held)-1]
				_, _, _ = store.TakeHold(ctx, standin.TakenHold{ID: id, By: "till"}, standin.Once{})
			}
		case 7:
			_, _ = store.AddFitting(ctx, standin.Fitting{NewFitting: standin.NewFitting{PartNumber: "70-1001", FittingResult: standin.FittingResult{Outcome: "works"}}}, standin.Once{})
		}
	}
}

// importBundle imports a bundle that differs from the one before in models, in
// titles and in stock.
func importBundle(t *testing.T, database *db.DB, folder string, n int) {
	t.Helper()
	for name, text := range map[string]string{
		"boards":    fmt.Sprintf("part_number,title\n70-1001,title %d\nB-%d,one more\n", n, n),
		"revisions": "part_number,revision,issue\n70-1001,A,1\n",
		"models":    fmt.Sprintf("brand,model,variant,kind\nWexcombe,DW %d,,washer\n", n%5),
		"stock":     fmt.Sprintf("location,part_number,revision,condition,quantity\nfront,70-1001,A,new,%d\n", 5+n%7),
	} {
		if err := os.WriteFile(filepath.Join(folder, name+".csv"), []byte(text), 0o600); err != nil {
			t.Error(err)
			return
		}
	}
	report, err := importer.Run(t.Context(), bundle.NewStore(database), []string{folder}, importer.Options{By: "keeper"})
	if err != nil || !report.Committed {
		t.Errorf("import %d: %+v, %v", n, report, err)
		return
	}
	if n%3 == 2 {
		_, _ = bundle.NewStore(database).Undo(t.Context(), report.Import.ID, standin.UndoRequest{By: "keeper"}) // refused where the stock has changed since
	}
}

// stored is what is stored of every kind, as the feed would have it.
func stored(t *testing.T, database *db.DB) map[string]map[string]string {
	t.Helper()
	all := map[string]map[string]string{}
	read := func(kind, sql string) {
		rows, err := database.Pool().Query(t.Context(), sql)
		if err != nil {
			t.Fatal(err)
		}
		defer rows.Close()
		all[kind] = map[string]string{}
		for rows.Next() {
			var key, row []byte
			if err := rows.Scan(&key, &row); err != nil {
				t.Fatal(err)
			}
			all[kind][canonical(key)] = canonical(row)
		}
	}
	for _, f := range standin.Files {
		key := ""
		for i, name := range f.Keys() {
			if i > 0 {
				key += ", "
			}
			key += fmt.Sprintf("'%s', b.%[1]q", name)
		}
		read(f.Name, fmt.Sprintf(`SELECT jsonb_strip_nulls(jsonb_build_object(%s)), jsonb_strip_nulls(to_jsonb(b)) FROM bundle.%s b`, key, f.Name))
	}
	for _, h := range listHolds(t, database) {
		put(all, "holds", map[string]any{"hold": h.ID}, map[string]any{
			"hold": h.ID, "location": h.Location, "part_number": h.PartNumber, "revision": h.Revision, "condition": h.Condition, "quantity": h.Quantity,
			"until": h.Until, "for": h.For, "reference": h.Reference, "by": h.By, "created": h.Created, "state": h.State, "ended": maybe(h.Ended),
		})
	}
	read("fittings", `SELECT jsonb_build_object('fitting', f.id), last.after FROM fittings f LEFT JOIN (
			SELECT DISTINCT ON (key) key, after FROM feed WHERE kind = 'fittings' ORDER BY key, version DESC
		) last ON last.key = jsonb_build_object('fitting', f.id)`)
	return all
}

func listHolds(t *testing.T, database *db.DB) []standin.Hold {
	t.Helper()
	holds, err := shop.NewStore(database).ListHolds(t.Context(), standin.HoldFilter{}, 0, 1_000_000)
	if err != nil {
		t.Fatal(err)
	}
	return holds
}

func put(all map[string]map[string]string, kind string, key, row any) {
	if all[kind] == nil {
		all[kind] = map[string]string{}
	}
	k, _ := json.Marshal(key)
	v, _ := json.Marshal(row)
	all[kind][canonical(k)] = canonical(v)
}

func maybe(at time.Time) any {
	if at.IsZero() {
		return nil
	}
	return at
}
