package intake_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/db/uploads"
	"standin/importer/intake"
)

// server is a service with an intake on a database, and its folder.
type server struct {
	*intake.Service
	database *db.DB
	dir      string
}

// start starts a service, as one of several on a database.
func start(t testing.TB, url string, change func(*intake.Config)) *server {
	t.Helper()
	database, err := db.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(database.Close)
	config := intake.Config{Catalogue: bundle.NewStore(database), Uploads: uploads.NewStore(database), Dir: filepath.Join(t.TempDir(), "uploads")}
	if change != nil {
		change(&config)
	}
	service, err := intake.New(config)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { service.Close() })
	return &server{service, database, config.Dir}
}

const sources = "source,title\nLeaflet 9,Trout\n"

// send submits a bundle of one file.
func (s *server) send(t testing.TB, text string, options standin.UploadOptions, once standin.Once) standin.Upload {
	t.Helper()
	in, err := s.Receive(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer in.Discard()
	if err := in.Add("sources.csv", strings.NewReader(text)); err != nil {
		t.Fatal(err)
	}
	u, err := in.Submit(t.Context(), standin.NewUpload{By: "keeper", Options: options}, once)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// end waits for the end of an upload.
func (s *server) end(t testing.TB, id string) standin.Upload {
	t.Helper()
	if err := s.AwaitUpload(t.Context(), id, 30*time.Second); err != nil {
		t.Fatal(err)
	}
	u, err := s.UploadOf(t.Context(), id)
	if err != nil || u.State.UnderWay() {
		t.Fatalf("%+v, %v", u, err)
	}
	return u
}

func (s *server) exec(t testing.TB, sql string, args ...any) {
	t.Helper()
	if _, err := s.database.Pool().Exec(t.Context(), sql, args...); err != nil {
		t.Fatal(err)
	}
}

// left are the files of a service, its lock left out.
func (s *server) left(t testing.TB) (left []string) {
	t.Helper()
	err := filepath.WalkDir(s.dir, func(path string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() && e.Name() != "lock" {
			left = append(left, path)
		}
		return nil // what goes meanwhile is gone
	})
	if err != nil {
		t.Fatal(err)
	}
	return left
}

// cut is a body that breaks off.
func cut(text string) io.Reader {
	return io.MultiReader(strings.NewReader(text), brokenOff{})
}

type brokenOff struct{}

var errBrokenOff = errors.New("broken off")

func (brokenOff) Read([]byte) (int, error) { return 0, errBrokenOff }

// Whatever becomes of a bundle, no file of it stays behind.
func TestNoFileStays(t *testing.T) {
	t.Parallel()
	s := start(t, dbtest.New(t), func(c *intake.Config) { c.MostBytes = 100 })
	receive := func(name, text string, broken bool) error {
		in, err := s.Receive(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer in.Discard()
		var from io.Reader = strings.NewReader(text)
		if broken {
			from = cut(text)
		}
		return in.Add(name, from)
	}
	if err := receive("a.csv", "source", true); !errors.Is(err, errBrokenOff) {
		t.Errorf("broken off: %v", err)
	}
	if err := receive("a.csv", strings.Repeat("x", 100), false); err != nil {
		t.Errorf("as large as it may be: %v", err)
	}
	if err := receive("a.csv", strings.Repeat("x", 101), false); standin.CodeOf(err) != standin.CodeTooLarge || !strings.Contains(err.Error(), "100 bytes") {
		t.Errorf("too large: %v", err)
	}
	for _, name := range []string{"", ".", "..", "/", "a/..", ".hidden", "a\x00.csv", strings.Repeat("x", 201)} {
		if err := receive(name, "x", false); standin.CodeOf(err) != standin.CodeBadRequest {
			t.Errorf("the name %q: %v", name, err)
		}
	}
	done := s.send(t, sources, standin.UploadOptions{}, standin.Once{})
	refused := s.send(t, "source,title\n,x\n", standin.UploadOptions{}, standin.Once{})
	if u := s.end(t, done.ID); u.State != standin.UploadDone || u.Import.Added != 1 {
		t.Errorf("%+v", u)
	}
	if u := s.end(t, refused.ID); u.State != standin.UploadRefused {
		t.Errorf("%+v", u)
	}
	s.isEmpty(t)
}

// isEmpty waits until a service has no file, which may take a moment after an end.
func (s *server) isEmpty(t testing.TB) {
	t.Helper()
	for range 100 {
		if len(s.left(t)) == 0 {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Errorf("there is left: %v", s.left(t))
}

// A service that crashed leaves files, which the next one removes; not those of one
// that runs.
func TestFilesOfACrashedService(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	running := start(t, url, nil)
	kept := running.send(t, sources, standin.UploadOptions{Check: true}, standin.Once{})
	running.end(t, kept.ID)
	crashed := filepath.Join(running.dir, "run-1", "upload-1", "files")
	if err := os.MkdirAll(crashed, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(crashed, "sources.csv"), []byte(sources), 0o600); err != nil {
		t.Fatal(err)
	}
	before := len(running.left(t))
	start(t, url, func(c *intake.Config) { c.Dir = running.dir })
	if after := running.left(t); before != 2 || len(after) != 1 || strings.Contains(after[0], "run-1"+string(filepath.Separator)) {
		t.Errorf("%d files before, after: %v", before, after)
	}
	if _, err := running.Take(t.Context(), kept.ID, nil, "keeper", standin.Once{}); err != nil {
		t.Errorf("what runs has lost its files: %v", err)
	}
	if u := running.end(t, kept.ID); u.State != standin.UploadDone {
		t.Errorf("%+v", u)
	}
}

// Of a service that ended nothing is believed but what it has committed.
func TestLostUpload(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	store := uploads.NewStore(start(t, url, nil).database)
	other := start(t, url, nil)
	lost, isNew, err := store.AddUpload(t.Context(), "a dead one", standin.Upload{By: "keeper", Bundle: "x"}, standin.Once{Token: 1, Key: "k"})
	if err != nil || !isNew {
		t.Fatal(err)
	}
	if u, err := other.UploadOf(t.Context(), lost.ID); err != nil || u.State != standin.UploadWaiting {
		t.Errorf("before it is silent for long: %+v, %v", u, err)
	}
	other.exec(t, `UPDATE uploads SET heartbeat = now() - interval '21 seconds' WHERE id = $1`, lost.ID)
	if err := other.AwaitUpload(t.Context(), lost.ID, 30*time.Second); err != nil {
		t.Fatal(err)
	}
	u, err := other.UploadOf(t.Context(), lost.ID)
	if err != nil || u.State != standin.UploadLost || u.Err == nil || !strings.Contains(u.Err.Message, "nothing was imported") || u.Ended.IsZero() {
		t.Errorf("%+v, %v", u, err)
	}
	// It must not be imported any more, should its service wake up.
	imports := bundle.NewStore(other.database)
	tx, err := imports.OpenImport(t.Context(), standin.ImportRequest{Upload: lost.ID})
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	file, _ := standin.FileNamed("sources")
	err = tx.Stage(t.Context(), file, "sources.csv", func(yield func(standin.Row, error) bool) {
		yield(standin.Row{Line: 2, Cells: []any{"Leaflet 9", nil, nil, nil}}, nil)
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Commit(t.Context()); standin.CodeOf(err) != standin.CodeConflict {
		t.Errorf("what was given up is imported: %v", err)
	}
	// The same key is tried again; one that is neither lost nor failed is not.
	again, isNew, err := store.AddUpload(t.Context(), "another", standin.Upload{By: "keeper", Bundle: "x"}, standin.Once{Token: 1, Key: "k"})
	if err != nil || !isNew || again.ID == lost.ID {
		t.Errorf("again: %+v, new %t, %v", again, isNew, err)
	}
	if same, isNew, err := store.AddUpload(t.Context(), "another", standin.Upload{By: "keeper", Bundle: "x"}, standin.Once{Token: 1, Key: "k"}); err != nil || isNew || same.ID != again.ID {
		t.Errorf("once more: %+v, new %t, %v", same, isNew, err)
	}
}

// What a service was asked for when it is stopped is not imported, and says so.
func TestStoppedService(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	s, other := start(t, url, nil), start(t, url, nil)
	block, err := bundle.NewStore(other.database).OpenImport(t.Context(), standin.ImportRequest{})
	if err != nil {
		t.Fatal(err)
	}
	first := s.send(t, sources, standin.UploadOptions{}, standin.Once{})
	second := s.send(t, sources, standin.UploadOptions{}, standin.Once{})
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	block.Rollback()
	for _, id := range []string{first.ID, second.ID} {
		if u := other.end(t, id); u.State != standin.UploadFailed || !strings.Contains(u.Err.Message, "service was stopped") {
			t.Errorf("%+v: %v", u, u.Err)
		}
	}
	if _, err := os.Stat(s.dir); err != nil || len(s.left(t)) > 0 {
		t.Errorf("left: %v, %v", s.left(t), err)
	}
	if imports, err := other.ListImports(t.Context(), 0, 10); err != nil || len(imports) > 0 {
		t.Errorf("imported: %v, %v", imports, err)
	}
}

// A second service imports one after the other with the first, knows of its uploads,
// and has what the other checked be taken in.
func TestTwoServices(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	a, b := start(t, url, nil), start(t, url, nil)
	var ids []string
	for i, s := range []*server{a, b, a, b} {
		ids = append(ids, s.send(t, "source,title\nLeaflet "+string(rune('1'+i))+",Trout\n", standin.UploadOptions{}, standin.Once{}).ID)
	}
	for i, id := range ids {
		if u := []*server{b, a}[i%2].end(t, id); u.State != standin.UploadDone || u.Import.Added != 1 {
			t.Errorf("%+v: %v", u, u.Err)
		}
	}
	checked := a.send(t, sources, standin.UploadOptions{Check: true}, standin.Once{})
	a.end(t, checked.ID)
	if _, err := b.Take(t.Context(), checked.ID, nil, "other", standin.Once{}); err != nil {
		t.Fatal(err)
	}
	if u := b.end(t, checked.ID); u.State != standin.UploadDone || u.Import.Added != 1 || u.Import.By != "other" {
		t.Errorf("taken by the other: %+v: %v", u, u.Err)
	}
	// Once its service is gone, it has to be sent again.
	gone := a.send(t, "source,title\nLeaflet 8,Trout\n", standin.UploadOptions{Check: true}, standin.Once{})
	a.end(t, gone.ID)
	a.Close()
	if _, err := b.Take(t.Context(), gone.ID, nil, "other", standin.Once{}); standin.CodeOf(err) != standin.CodeConflict || !strings.Contains(err.Error(), "send it again") {
		t.Errorf("taken without files: %v", err)
	}
}

// What was only checked is kept for a while, and not too much of it.
func TestCheckedIsLetGo(t *testing.T) {
	t.Parallel()
	s := start(t, dbtest.New(t), func(c *intake.Config) { c.Kept = 2 * time.Second })
	u := s.send(t, sources, standin.UploadOptions{Check: true}, standin.Once{})
	if s.end(t, u.ID); len(s.left(t)) != 1 {
		t.Errorf("kept: %v", s.left(t))
	}
	s.isEmptyWithin(t, 10*time.Second)
	if _, err := s.Take(t.Context(), u.ID, nil, "keeper", standin.Once{}); standin.CodeOf(err) != standin.CodeConflict {
		t.Errorf("taken: %v", err)
	}
	many := start(t, dbtest.New(t), nil)
	var first, last standin.Upload
	for i := range 9 {
		last = many.send(t, sources, standin.UploadOptions{Check: true}, standin.Once{})
		if many.end(t, last.ID); i == 0 {
			first = last
		}
	}
	for range 200 {
		if len(many.left(t)) == 8 {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if f, _ := many.UploadOf(t.Context(), first.ID); len(many.left(t)) != 8 || !f.KeptUntil.IsZero() {
		t.Errorf("%d are kept, the first until %v", len(many.left(t)), f.KeptUntil)
	}
	if l, _ := many.UploadOf(t.Context(), last.ID); l.KeptUntil.IsZero() {
		t.Error("the last is not kept")
	}
}

func (s *server) isEmptyWithin(t testing.TB, d time.Duration) {
	t.Helper()
	for end := time.Now().Add(d); len(s.left(t)) > 0; time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("there is left: %v", s.left(t))
		}
	}
}

// How far an import is can be seen from elsewhere, and reading goes on.
func TestProgress(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	a, b := start(t, url, nil), start(t, url, nil)
	var text strings.Builder
	text.WriteString("source,title\n")
	for i := range 150_000 {
		text.WriteString("Leaflet " + strings.Repeat("x", i%7) + time.Duration(i).String() + ",Trout\n")
	}
	u := a.send(t, text.String(), standin.UploadOptions{}, standin.Once{})
	seen := map[standin.UploadState]standin.Upload{}
	for u.State.UnderWay() {
		var err error
		if u, err = b.UploadOf(t.Context(), u.ID); err != nil {
			t.Fatal(err)
		}
		if u.Rows > 0 {
			seen[u.State] = u
		}
		if _, err := b.database.ListFamilies(t.Context(), "", 1); err != nil {
			t.Fatal(err)
		}
		time.Sleep(50 * time.Millisecond)
	}
	if u.State != standin.UploadDone || u.Import.Added != 150_000 || u.Rows == 0 {
		t.Errorf("%+v: %v", u, u.Err)
	}
	delete(seen, standin.UploadDone)
	if len(seen) == 0 {
		t.Error("no progress was seen")
	}
	for state, u := range seen {
		if u.Rows > 150_000 || u.Share < 0 || u.Share > 1 || state == standin.UploadReading && u.File != "sources.csv" {
			t.Errorf("%s: %+v", state, u)
		}
	}
}

// Uploads and what was found go after some days, the import stays.
func TestOldUploadsGo(t *testing.T) {
	t.Parallel()
	s := start(t, dbtest.New(t), nil)
	u := s.end(t, s.send(t, sources, standin.UploadOptions{}, standin.Once{}).ID)
	s.exec(t, `UPDATE uploads SET created = created - interval '7 days'`)
	if _, err := s.UploadOf(t.Context(), u.ID); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("an old one: %v", err)
	}
	if by, err := s.UploadOfImport(t.Context(), u.Import.ID); err != nil || by.ID != "" || by.Import.ID != u.Import.ID {
		t.Errorf("by its import: %+v, %v", by, err)
	}
	s.end(t, s.send(t, sources, standin.UploadOptions{}, standin.Once{}).ID)
	var n int
	if err := s.database.Pool().QueryRow(t.Context(), `SELECT count(*) FROM uploads`).Scan(&n); err != nil || n != 1 {
		t.Errorf("%d uploads, %v", n, err)
	}
}

// A supplier's table that was sent without a mapping is checked again by one that is
// proposed and changed, and taken in by it.
func TestMappingOfAnUpload(t *testing.T) {
	t.Parallel()
	url := dbtest.New(t)
	s, other := start(t, url, nil), start(t, url, nil)
	in, err := s.Receive(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer in.Discard()
	if err := in.Add("list.csv", strings.NewReader("Manufacturer;Model;Kind\nAldor;W 100;washer\nAldor;W 200;dryer\n")); err != nil {
		t.Fatal(err)
	}
	u, err := in.Submit(t.Context(), standin.NewUpload{By: "keeper", Options: standin.UploadOptions{Check: true}}, standin.Once{})
	if err != nil {
		t.Fatal(err)
	}
	if u = s.end(t, u.ID); u.State != standin.UploadRefused || u.KeptUntil.IsZero() {
		t.Fatalf("as a bundle: %+v", u)
	}
	if _, err := other.Propose(t.Context(), u.ID); standin.CodeOf(err) != standin.CodeConflict {
		t.Errorf("another service proposes without the file: %v", err)
	}
	p, err := s.Propose(t.Context(), u.ID)
	if err != nil || len(p.Lines) < 2 || strings.Join(p.Headers, " ") != "Manufacturer Model Kind" {
		t.Fatalf("%+v, %v", p, err)
	}
	values := map[int]string{}
	for i, l := range p.Lines {
		if l.Column == "kind" {
			values[i] = ""
		}
	}
	if _, err := other.Remap(t.Context(), u.ID, p.Mapping, values, "keeper", standin.Once{}); err != nil {
		t.Fatal(err)
	}
	if u = s.end(t, u.ID); u.State != standin.UploadChecked || len(u.Files) != 1 || u.Files[0].Added != 2 {
		t.Fatalf("by its mapping: %+v: %v", u, u.Err)
	}
	changes, err := s.ChangesOf(t.Context(), u, 0, 10)
	if err != nil || len(changes) != 2 || len(changes[0].Fields) != 0 {
		t.Errorf("%+v, %v", changes, err)
	}
	if _, err := s.Take(t.Context(), u.ID, nil, "keeper", standin.Once{}); err != nil {
		t.Fatal(err)
	}
	if u = s.end(t, u.ID); u.State != standin.UploadDone || u.Import.Added != 2 {
		t.Errorf("taken in: %+v: %v", u, u.Err)
	}
	s.isEmpty(t)
	for _, bad := range []string{"rows: [", ""} {
		if _, err := s.Remap(t.Context(), u.ID, bad, nil, "keeper", standin.Once{}); err == nil {
			t.Errorf("the mapping %q is taken", bad)
		}
	}
}
