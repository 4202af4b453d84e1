package bundle

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5/pgconn"

	"standin"
	"standin/db/internal/pg"
)

func TestImportKeepsEveryCell(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	made := put(t, db, whole)
	if diff := cmp.Diff(sorted(t, whole), contents(t, db)); diff != "" {
		t.Errorf("stored (+) differs from imported (-):\n%s", diff)
	}
	want := standin.Import{ID: 1, By: "tester", Bundle: "test", CatalogueVersion: 1, Added: 42}
	if diff := cmp.Diff(want, made, ignoreTime); diff != "" {
		t.Errorf("the import:\n%s", diff)
	}
	if age := time.Since(made.At); age < 0 || age > time.Hour || made.At.Location() != time.UTC {
		t.Errorf("it was made at %v", made.At)
	}
	if s := stateOf(t, db); s.Catalogue != 1 || s.Stock != 1 {
		t.Errorf("the state is %+v", s)
	}
}

func TestImportTwiceChangesNothing(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	before := stateOf(t, db)
	made := put(t, db, whole)
	if made.ID != 0 || made.Added+made.Changed+made.Removed != 0 {
		t.Errorf("the second import is %+v", made)
	}
	if after := stateOf(t, db); after != before {
		t.Errorf("the state went from %+v to %+v", before, after)
	}
}

// Every file may come by itself, once what it refers to is stored.
func TestImportFileByFile(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	for _, f := range standin.Files {
		for _, part := range strings.Split(whole, "-- ")[1:] {
			if strings.HasPrefix(part, f.Name+".csv") {
				put(t, db, "-- "+part)
			}
		}
	}
	if diff := cmp.Diff(sorted(t, whole), contents(t, db)); diff != "" {
		t.Errorf("stored (+) differs from imported (-):\n%s", diff)
	}
}

func TestImportOfStockAlone(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	made := put(t, db, "-- stock.csv --\nlocation,part_number,revision,condition,quantity\nfront,PN-200,A,new,2\n")
	if s := stateOf(t, db); s.Catalogue != 1 || s.Stock != 2 || made.CatalogueVersion != 1 {
		t.Errorf("the state is %+v, the import's version %d", s, made.CatalogueVersion)
	}
}

func TestImportTellsListeners(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	conn, err := db.pool.Acquire(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Release()
	if _, err := conn.Exec(t.Context(), "LISTEN catalogue_state"); err != nil {
		t.Fatal(err)
	}
	put(t, db, whole)
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	told, err := conn.Conn().WaitForNotification(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if told.Payload != "1 1" {
		t.Errorf("listeners are told %q", told.Payload)
	}
}

// A build that moves makes room for its neighbour in the same bundle, and the
// span of a build that is not in the bundle follows.
func TestImportMovesCutIn(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	const header = "-- builds.csv --\nbrand,model,variant,build,made_from,made_to,run_out_days,serial_from,serial_to,part_number,revision,layout,needs,source\n"
	put(t, db, header+
		"Aldor,W100,,b3,2004-01-01,,,,,,,,,\n"+
		"Aldor,W100,,b2,2002-06-01,2003-12-31,,,,,,,,\n")
	if got, want := spans(t, db), "b1 [2001-01-01,2002-06-01) b2 [2002-06-01,2004-01-01) b3 [2004-01-01,)"; got != want {
		t.Errorf("the spans are %s, want %s", got, want)
	}
	put(t, db, header+"Aldor,W100,,b4,2006-01-01,,,,,,,,,\nAldor,W100,,b0,,,,,,,,,,\n")
	if got, want := spans(t, db), "b0 (,2001-01-01) b1 [2001-01-01,2002-06-01) b2 [2002-06-01,2004-01-01) b3 [2004-01-01,2006-01-01) b4 [2006-01-01,)"; got != want {
		t.Errorf("the spans are %s, want %s", got, want)
	}
}

func spans(t testing.TB, db *database) (all string) {
	t.Helper()
	err := db.pool.QueryRow(t.Context(), "SELECT string_agg(build || ' ' || made, ' ' ORDER BY build) FROM builds").Scan(&all)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// A badge that was known only as a twin becomes a model of its own right when a
// bundle lists it, with everything that hangs on it kept.
func TestImportListsABadge(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	made := put(t, db, "-- models.csv --\nbrand,model,variant,kind,made_from,made_to,volts,hertz,serial_rule\nCorvin,K7,r,washer,,,,,\n")
	if made.Added != 1 || made.Changed != 0 {
		t.Errorf("the import adds %d and changes %d rows", made.Added, made.Changed)
	}
	want := strings.Replace(sorted(t, whole), "Bexley,Q1,,washer,,,,,,\n", "Bexley,Q1,,washer,,,,,,\nCorvin,K7,r,washer,,,,,,\n", 1)
	if diff := cmp.Diff(want, contents(t, db)); diff != "" {
		t.Errorf("stored (+) differs (-):\n%s", diff)
	}
}

func TestCommitRefusesWhatWasNotChecked(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	tx := openTx(t, db)
	stage(t, tx, strings.Replace(whole, "PN-300,rotary", "PN-300,nowhere", 1))
	stage(t, tx, "-- boards.csv --\npart_number,family,title,gtin\nPN-400,nowhere,,\n")
	_, err := tx.Commit(t.Context())
	if standin.CodeOf(err) != standin.CodeRejected || !strings.Contains(err.Error(), "boards.csv, line 2: there is no family nowhere") {
		t.Errorf("the error is %v", err)
	}
	tx.Rollback()
	isEmpty(t, db)
}

func TestRollbackLeavesNothing(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	tx := openTx(t, db)
	stage(t, tx, whole)
	findings(t, tx)
	if _, err := tx.Diff(t.Context(), 10); err != nil {
		t.Fatal(err)
	}
	if err := tx.Rollback(); err != nil {
		t.Fatal(err)
	}
	if err := tx.Rollback(); err != nil {
		t.Errorf("a second rollback fails: %v", err)
	}
	isEmpty(t, db)
	put(t, db, whole)
}

func TestTwoImportsAtOnce(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	tx := openTx(t, db)
	_, err := db.OpenImport(t.Context(), standin.ImportRequest{})
	if standin.CodeOf(err) != standin.CodeConflict {
		t.Errorf("the error is %v", err)
	}
	tx.Rollback()
	put(t, db, whole)
}

// An import that was given up may still be taken back when the next one begins.
func TestImportWaitsForOneThatEnds(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	tx := openTx(t, db)
	time.AfterFunc(300*time.Millisecond, func() { _ = tx.Rollback() })
	put(t, db, whole)
}

// Reading goes on while an import has written everything but not committed.
func TestReadingDuringImport(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	before := contents(t, db)
	tx := openTx(t, db).(*importTx)
	stage(t, tx, strings.ReplaceAll(strings.ReplaceAll(whole, "Service handbook", "New handbook"), "A B C,10-", "D D D,10-"))
	if err := tx.seal(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := tx.merge(t.Context()); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before, contents(t, db)); diff != "" {
		t.Errorf("reading during the import:\n%s", diff)
	}
}

// What an import compares with must not change before it commits.
func TestStockStandsStillDuringImport(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	tx := openTx(t, db)
	stage(t, tx, whole)
	findings(t, tx)
	const sell = "SET lock_timeout = '50ms'; UPDATE stock SET quantity = quantity - 1 WHERE quantity > 0"
	if _, err := db.pool.Exec(t.Context(), sell); standin.CodeOf(pg.Translate(err)) != standin.CodeConflict {
		t.Errorf("a sale during the import: %v", err)
	}
	contents(t, db)
	tx.Rollback()
	if _, err := db.pool.Exec(t.Context(), sell); err != nil {
		t.Errorf("a sale after it: %v", err)
	}
}

func TestCancelledImportLeavesNothing(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	ctx, cancel := context.WithCancel(t.Context())
	tx, err := db.OpenImport(ctx, standin.ImportRequest{})
	if err != nil {
		t.Fatal(err)
	}
	file, _ := standin.FileNamed("sources")
	err = tx.Stage(ctx, file, "sources.csv", func(yield func(standin.Row, error) bool) {
		for line := 2; yield(standin.Row{Line: line, Cells: []any{"source", nil, nil, nil}}, nil); line++ {
			if line == 1000 {
				cancel()
			}
		}
	})
	if err == nil {
		t.Error("staging without end ended well")
	}
	tx.Rollback()
	isEmpty(t, db)
	put(t, db, whole)
}

// The server may end the connection at any moment.
func TestKilledImportLeavesNothing(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	tx := openTx(t, db).(*importTx)
	stage(t, tx, whole)
	if err := tx.seal(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := tx.merge(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := db.pool.Exec(t.Context(), "SELECT pg_terminate_backend($1)", tx.tx.Conn().PgConn().PID()); err != nil {
		t.Fatal(err)
	}
	_, err := tx.Commit(t.Context())
	const want = "the database ended this connection, because an administrator ended it or because it shuts down; try again"
	if standin.CodeOf(err) != standin.CodeUnavailable || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("the error is %v", err)
	}
	tx.Rollback()
	isEmpty(t, db)
	put(t, db, whole)
}

// What the database refuses becomes a sentence, and nothing stays.
func TestConstraintTheChecksDoNotForesee(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	tx := openTx(t, db).(*importTx)
	stage(t, tx, strings.Replace(whole, "A B C,10-", "A B,10-", 1))
	_, err := tx.Commit(t.Context())
	if standin.CodeOf(err) != standin.CodeRejected || !strings.Contains(err.Error(), "configuration code has the length of its family") {
		t.Errorf("the error is %v", err)
	}
	tx.Rollback()
	isEmpty(t, db)
}

func TestFullDiskIsSaid(t *testing.T) {
	t.Parallel()
	err := pg.Translate(&pgconn.PgError{Code: "53100", Message: "could not extend file"})
	if standin.CodeOf(err) != standin.CodeNoSpace {
		t.Errorf("the error is %v", err)
	}
}

func TestListImports(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	for _, title := range []string{"one", "two", "three"} {
		put(t, db, "-- sources.csv --\nsource,title,issued,note\nhandbook,"+title+",,\n")
	}
	var ids []int64
	for before := int64(0); ; before = ids[len(ids)-1] {
		page, err := db.ListImports(t.Context(), before, 3)
		if err != nil {
			t.Fatal(err)
		}
		if len(page) == 0 {
			break
		}
		for _, i := range page {
			ids = append(ids, i.ID)
			if one, err := db.ImportOf(t.Context(), i.ID); err != nil || one != i {
				t.Errorf("import %d is listed as %+v, alone %+v, %v", i.ID, i, one, err)
			}
		}
	}
	if diff := cmp.Diff([]int64{4, 3, 2, 1}, ids); diff != "" {
		t.Errorf("listed:\n%s", diff)
	}
	if _, err := db.ImportOf(t.Context(), 5); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("an import that is not there: %v", err)
	}
}

var ignoreTime = cmp.FilterPath(func(p cmp.Path) bool { return p.String() == "At" }, cmp.Ignore())

func stateOf(t testing.TB, db *database) standin.State {
	t.Helper()
	s, err := db.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// isEmpty checks that nothing is stored, and no trace of an import.
func isEmpty(t testing.TB, db *database) {
	t.Helper()
	if diff := cmp.Diff(sorted(t, ""), contents(t, db)); diff != "" {
		t.Errorf("something is stored:\n%s", diff)
	}
	if s := stateOf(t, db); s != (standin.State{}) {
		t.Errorf("the state is %+v", s)
	}
	var rows int
	err := db.pool.QueryRow(t.Context(), `SELECT (SELECT count(*) FROM imports) + (SELECT count(*) FROM changes) +
		(SELECT count(*) FROM parts) + (SELECT count(*) FROM models) + (SELECT count(*) FROM layouts) + (SELECT count(*) FROM procedures)`).Scan(&rows)
	if err != nil || rows != 0 {
		t.Errorf("%d rows stay behind, %v", rows, err)
	}
}
