package api_test

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/httptest"
	"net/textproto"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"standin"
	"standin/api"
	"standin/db"
	"standin/db/bundle"
	"standin/db/uploads"
	"standin/importer/intake"
)

// intakeConfig is an intake over a database, as a service has it.
func intakeConfig(t testing.TB, database *db.DB) intake.Config {
	t.Helper()
	return intake.Config{Catalogue: bundle.NewStore(database), Uploads: uploads.NewStore(database), Dir: t.TempDir()}
}

// startIntake starts an intake that ends with the test.
func startIntake(t testing.TB, config intake.Config) *intake.Service {
	t.Helper()
	service, err := intake.New(config)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { service.Close() })
	return service
}

// newIntake is the API over a fresh database that takes bundles in.
func newIntake(t testing.TB, change func(*intake.Config)) (http.Handler, *db.DB) {
	t.Helper()
	database, _ := importedShop(t, "testdata/bundle")
	config := intakeConfig(t, database)
	if change != nil {
		change(&config)
	}
	return intakeOn(t, database, startIntake(t, config)), database
}

// intakeOn is the API over a database and an intake.
func intakeOn(t testing.TB, database *db.DB, in standin.Intake) http.Handler {
	t.Helper()
	config := shopConfig(database, false)
	known := newTokens()
	known["front"] = standin.Token{ID: 90, Name: "front desk", Scopes: []standin.Scope{standin.ScopeCatalogue}, Location: "front"}
	config.Tokens, config.Intake = known, in
	handler, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	return held(t, handler)
}

// sourcesCSV is a bundle of one file that changes something each time.
func sourcesCSV(title string) string {
	return "source,title,issued,note\nLeaflet 9,\"" + title + "\",2004,\n"
}

const brokenCSV = "source,title,issued,note\nLeaflet 9,=1+1,1.9.04,\nLeaflet 9,again,2004,\n"

// send is a call that sends a CSV file.
func send(name, text, query string, header ...string) call {
	return as("catalogue", http.MethodPost, "/v1/imports?name="+name+query, text, append([]string{"Content-Type", "text/csv"}, header...)...)
}

func TestImportOverHTTP(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	got := send("sources.csv", sourcesCSV("Trout"), "").do(t, handler)
	if got.Code != http.StatusAccepted || got.at("state") == `"done"` || got.at("by") != `"the catalogue token"` {
		t.Fatalf("status %d: %s", got.Code, got.Body)
	}
	at := got.Header().Get("Location")
	ended := get(t, handler, at+"?wait=30")
	if ended.at("state") != `"done"` || ended.at("import.added") != "1" || ended.at("import.bundle") != `"sources.csv"` || ended.at("files.0.added") != "1" ||
		ended.at("read.0.rows") != "1" || ended.at("problem") != "null" {
		t.Fatalf("in the end: %s", ended.Body)
	}
	number := ended.at("import.import")
	if byNumber := get(t, handler, "/v1/imports/"+number); byNumber.Body.String() != ended.Body.String() {
		t.Errorf("by its number:\n%s\nby its upload:\n%s", byNumber.Body, ended.Body)
	}
	if list := get(t, handler, "/v1/imports?limit=1"); list.at("imports.0.import") != number || !strings.Contains(list.Header().Get("Link"), `rel="next"`) {
		t.Errorf("listed: %s", list.Body)
	}
	changes := get(t, handler, at+"/changes")
	if changes.at("changes.length") != "1" || changes.at("changes.0.op") != `"added"` || changes.at("changes.0.key.source") != `"Leaflet 9"` {
		t.Errorf("changes: %s", changes.Body)
	}
	// The same bundle again changes nothing.
	if again := send("sources.csv", sourcesCSV("Trout"), "&wait=30").do(t, handler); again.Code != http.StatusOK || again.at("state") != `"done"` || again.at("import") != "null" {
		t.Errorf("again: status %d: %s", again.Code, again.Body)
	}
	undone := as("catalogue", "POST", "/v1/imports/"+number+"/undo?wait=30", "").do(t, handler)
	if undone.Code != http.StatusCreated || undone.at("import.undoes") != number || undone.at("import.removed") != "1" || undone.at("undoes") != number {
		t.Errorf("undone: status %d: %s", undone.Code, undone.Body)
	}
	twice := as("catalogue", "POST", at+"/undo?wait=30", "").do(t, handler)
	if p := problem(t, twice); twice.Code != http.StatusConflict || !strings.Contains(p.Detail, "undone already") {
		t.Errorf("undone twice: status %d: %s", twice.Code, twice.Body)
	}
}

// An import that was not sent over HTTP has its number, and no upload.
func TestImportOfElsewhere(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	got := get(t, handler, "/v1/imports/1")
	if got.at("upload") != `""` || got.at("state") != `"done"` || got.at("by") != `"test"` || got.at("import.import") != "1" {
		t.Errorf("status %d: %s", got.Code, got.Body)
	}
	rows, _ := strconv.Atoi(got.at("import.added"))
	seen := 0
	for target := "/v1/imports/1/changes?limit=50"; target != ""; {
		page := get(t, handler, target)
		n, _ := strconv.Atoi(page.at("changes.length"))
		seen += n
		target = followed(page)
	}
	if seen != rows || rows < 51 {
		t.Errorf("%d changes of %d rows", seen, rows)
	}
	if found := get(t, handler, "/v1/imports/1/findings"); found.at("findings.length") != "0" {
		t.Errorf("findings: %s", found.Body)
	}
	for _, id := range []string{"99", "uaaaaaaaaaaaaaaaaaaaaaaaaaa"} {
		if got := get(t, handler, "/v1/imports/"+id); got.Code != http.StatusNotFound {
			t.Errorf("%s: status %d", id, got.Code)
		}
	}
	for _, id := range []string{"0", "x", "u1", "999999999999999999999"} {
		if got := get(t, handler, "/v1/imports/"+id); got.Code != http.StatusBadRequest || got.at("parameter") != `"id"` {
			t.Errorf("%s: status %d: %s", id, got.Code, got.Body)
		}
	}
}

// followed is the address of the next page, empty where there is none.
func followed(r *response) string {
	address, _, _ := strings.Cut(strings.TrimPrefix(r.Header().Get("Link"), "<"), ">")
	return address
}

// What was checked shows what it would change, changes nothing, and is taken in
// without being sent again.
func TestCheckAndTake(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	before := get(t, handler, "/v1/imports").Body.String()
	checked := send("sources.csv", sourcesCSV("Pike"), "&check=true&wait=30").do(t, handler)
	if checked.Code != http.StatusOK || checked.at("state") != `"checked"` || checked.at("files.0.added") != "1" || checked.at("take_until") == "null" {
		t.Fatalf("status %d: %s", checked.Code, checked.Body)
	}
	if after := get(t, handler, "/v1/imports").Body.String(); after != before {
		t.Errorf("a check has imported: %s", after)
	}
	id := strings.Trim(checked.at("upload"), `"`)
	if changes := get(t, handler, "/v1/imports/"+id+"/changes"); changes.at("changes.0.fields.0.after") != `"Pike"` {
		t.Errorf("changes: %s", changes.Body)
	}
	take := as("catalogue", "POST", "/v1/imports/"+id+"/take?wait=30", "", "Idempotency-Key", "take")
	taken := take.do(t, handler)
	if taken.Code != http.StatusCreated || taken.at("state") != `"done"` || taken.at("check") != "false" || taken.at("take_until") != "null" {
		t.Fatalf("taken: status %d: %s", taken.Code, taken.Body)
	}
	if again := take.do(t, handler); again.Code != http.StatusCreated || again.Body.String() != taken.Body.String() {
		t.Errorf("the same key again: status %d: %s", again.Code, again.Body)
	}
	other := as("catalogue", "POST", "/v1/imports/"+id+"/take", "").do(t, handler)
	if other.Code != http.StatusConflict || !strings.Contains(other.Body.String(), "it is done") {
		t.Errorf("another key: status %d: %s", other.Code, other.Body)
	}
}

// What takes a consent is refused without it, and done with it: over HTTP as by hand.
func TestConsentOverHTTP(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	const lift = "part_number,revision,stop\n70/2001 B,1,\n"
	checked := send("revisions.csv", lift, "&check=true&wait=30").do(t, handler)
	if checked.Code != http.StatusUnprocessableEntity || checked.at("findings.0.code") != `"lifted-stop"` {
		t.Fatalf("without a consent: status %d: %s", checked.Code, checked.Body)
	}
	at := "/v1/imports/" + strings.Trim(checked.at("upload"), `"`)
	other := as("catalogue", "POST", at+"/take?wait=30&consent=shrink", "", "Idempotency-Key", "other").do(t, handler)
	if other.Code != http.StatusUnprocessableEntity {
		t.Fatalf("with another: status %d: %s", other.Code, other.Body)
	}
	lifted := as("catalogue", "POST", at+"/take?wait=30&consent=lift-stops&consent=shrink", "").do(t, handler) // its files are there still
	if lifted.Code != http.StatusCreated || lifted.at("import.changed") != "1" || lifted.at("consents") != `["lift-stops","shrink"]` {
		t.Fatalf("with it: status %d: %s", lifted.Code, lifted.Body)
	}
	if done := get(t, handler, at); done.at("state") != `"done"` || done.at("problem") != "null" {
		t.Errorf("what refused it before is left: %s", done.Body)
	}
	if refused := as("catalogue", "POST", at+"/take?consent=anything", "").do(t, handler); refused.Code != http.StatusBadRequest {
		t.Errorf("a consent to nothing: status %d: %s", refused.Code, refused.Body)
	}
	undo := func(number, query string) *response {
		return as("catalogue", "POST", "/v1/imports/"+number+"/undo?wait=30"+query, "").do(t, handler)
	}
	back := undo(lifted.at("import.import"), "") // it sets the stop again
	if back.Code != http.StatusCreated {
		t.Fatalf("undone: status %d: %s", back.Code, back.Body)
	}
	number := back.at("import.import")
	if again := undo(number, ""); again.Code != http.StatusConflict || again.at("parameter") != `"consent"` {
		t.Errorf("an undo that lifts: status %d: %s", again.Code, again.Body)
	}
	if again := undo(number, "&consent=lift-stops"); again.Code != http.StatusCreated {
		t.Errorf("an undo that may lift: status %d: %s", again.Code, again.Body)
	}
}

// Where a bundle has all the stock of a location, what it does not have is none.
func TestReplaceStockOverHTTP(t *testing.T) {
	t.Parallel()
	handler, database := newIntake(t, nil)
	sent := send("stock.csv", "location,part_number,revision,condition,quantity\nfront,70-1001,A,new,5\nfront,no such,,new,1\n",
		"&wait=30&replace_stock=front&consent=skip-unknown-stock").do(t, handler)
	if sent.Code != http.StatusCreated || sent.at("replace_stock") != `["front"]` {
		t.Fatalf("status %d: %s", sent.Code, sent.Body)
	}
	var n int
	if err := database.Pool().QueryRow(t.Context(), `SELECT sum(quantity) FROM stock WHERE location = 'front'`).Scan(&n); err != nil || n != 5 {
		t.Errorf("%d pieces, %v", n, err)
	}
}

func TestRefusedBundle(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	got := send("sources.csv", brokenCSV, "&wait=30").do(t, handler)
	p := problem(t, got)
	if got.Code != http.StatusUnprocessableEntity || p.Type != "/problems/rejected" || got.at("findings.length") != "2" {
		t.Fatalf("status %d: %s", got.Code, got.Body)
	}
	at := "/v1/imports/" + strings.Trim(got.at("upload"), `"`)
	upload := get(t, handler, at)
	if upload.at("state") != `"refused"` || upload.at("errors") != "2" || upload.at("problem.detail") != got.at("detail") {
		t.Errorf("the upload: %s", upload.Body)
	}
	first := get(t, handler, at+"/findings?limit=1")
	second := get(t, handler, followed(first))
	if first.at("findings.length") != "1" || second.at("findings.length") != "1" || followed(second) != "" ||
		second.at("findings.0") == first.at("findings.0") || first.at("findings.0.file") != `"sources.csv"` {
		t.Errorf("two pages: %s%s", first.Body, second.Body)
	}
	if taken := as("catalogue", "POST", at+"/take", "").do(t, handler); taken.Code != http.StatusConflict || !strings.Contains(taken.Body.String(), "refused") {
		t.Errorf("taken: status %d: %s", taken.Code, taken.Body)
	}
	if undone := as("catalogue", "POST", at+"/undo", "").do(t, handler); undone.Code != http.StatusNotFound {
		t.Errorf("undone: status %d: %s", undone.Code, undone.Body)
	}
}

// The findings in CSV are those in JSON, and no cell of them is a formula.
func TestFindingsInCSV(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	got := send("sources.csv", "source,title,issued,note\nLeaflet 9,x,=1+1,\n", "&wait=30").do(t, handler)
	at := "/v1/imports/" + strings.Trim(got.at("upload"), `"`) + "/findings"
	for accept, want := range map[string]bool{
		"text/csv": true, "TEXT/CSV; q=0.9, application/json;q=0.5": true, "application/json": false, "*/*": false, "": false,
		"text/csv;q=0.1, application/json": false, "text/csv;q=0": false,
	} {
		answer := call{target: at, header: []string{"Accept", accept}}.do(t, handler)
		if isCSV := strings.HasPrefix(answer.Header().Get("Content-Type"), "text/csv"); isCSV != want || answer.Code != 200 {
			t.Errorf("Accept %q: status %d, %s", accept, answer.Code, answer.Header().Get("Content-Type"))
		}
	}
	text := strings.TrimPrefix(call{target: at, header: []string{"Accept", "text/csv"}}.do(t, handler).Body.String(), "\ufeff")
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) != 2 || rows[1][4] != "'=1+1" || get(t, handler, at).at("findings.0.value") != `"=1+1"` {
		t.Errorf("%v: %v", err, rows)
	}
}

// The ways to send a bundle come to the same.
func TestWaysToSend(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	zipped := func(files map[string]string) string {
		var b bytes.Buffer
		w := zip.NewWriter(&b)
		for name, text := range files {
			out, _ := w.Create(name)
			_, _ = out.Write([]byte(text))
		}
		w.Close()
		return b.String()
	}
	post := func(kind, query, body string, more ...string) *response {
		return as("catalogue", "POST", "/v1/imports?wait=30"+query, body, append([]string{"Content-Type", kind}, more...)...).do(t, handler)
	}
	form, boundary := formOf(t, "file", "sources.csv", sourcesCSV("form"), "file", "boards.csv", "part_number,title\n70-1001,Form\n")
	mapped, ofMapped := formOf(t, "table", "list.csv", "Leaflet;Name\nL 4;Mapped\n", "mapping", "m.yaml",
		"rows: [{file: sources, columns: {source: Leaflet, title: Name}}]\n")
	for name, got := range map[string]*response{
		"zip":          post("application/zip", "", zipped(map[string]string{"sources.csv": sourcesCSV("zip")})),
		"zip, named":   post("application/zip", "&name=Spring.ZIP", zipped(map[string]string{"sources.csv": sourcesCSV("named")})),
		"gzip":         post("text/csv", "&name=sources.csv", gzipped(t, sourcesCSV("gzip")), "Content-Encoding", "gzip"),
		"media type":   post("Text/CSV; charset=utf-8", "&name=sources.csv", sourcesCSV("media type")),
		"form":         post("multipart/form-data; boundary="+boundary, "", form),
		"table":        post("multipart/form-data; boundary="+ofMapped, "", mapped),
		"windows-1250": post("text/csv", "&name=sources.csv&encoding=windows-1250", "source,title\nL 7,\x8alap\n"),
	} {
		if got.Code != http.StatusCreated {
			t.Errorf("%s: status %d: %s", name, got.Code, got.Body)
		}
	}
	for name, c := range map[string]struct {
		got    *response
		status int
		says   string
	}{
		"no name":           {post("text/csv", "", sourcesCSV("x")), 400, "models.csv"},
		"another ending":    {post("text/csv", "&name=sources.zip", sourcesCSV("x")), 400, "must end in .csv"},
		"a hidden file":     {post("text/csv", "&name=.csv", sourcesCSV("x")), 400, "begins with a dot"},
		"JSON":              {post("application/json", "", "{}"), 415, "application/zip"},
		"another coding":    {post("text/csv", "&name=sources.csv", "x", "Content-Encoding", "br"), 415, "gzip"},
		"not gzip":          {post("text/csv", "&name=sources.csv", "x", "Content-Encoding", "gzip"), 400, "not gzip"},
		"a form cut off":    {post("multipart/form-data; boundary="+boundary, "", form[:len(form)/2]), 400, "before it was complete"},
		"no boundary":       {post("multipart/form-data", "", form), 400, "boundary"},
		"an empty form":     {post("multipart/form-data; boundary=x", "", "--x--\r\n"), 400, "no file"},
		"no zip":            {post("application/zip", "", "PK no"), 422, "error"},
		"unknown encoding":  {post("text/csv", "&name=sources.csv&encoding=runes", sourcesCSV("x")), 400, "runes"},
		"unknown parameter": {post("text/csv", "&name=sources.csv&chek=true", sourcesCSV("x")), 400, "did you mean check"},
		"no such family":    {post("text/csv", "&name=sources.csv&replace=Curlew&replace=None", sourcesCSV("x")), 400, "None"},
	} {
		if c.got.Code != c.status || !strings.Contains(c.got.Body.String(), c.says) {
			t.Errorf("%s: status %d: %s", name, c.got.Code, c.got.Body)
		}
	}
}

// formOf is a form of files, given as part name, file name and text, and its boundary.
func formOf(t testing.TB, parts ...string) (body, boundary string) {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for i := 0; i < len(parts); i += 3 {
		header := textproto.MIMEHeader{"Content-Disposition": {fmt.Sprintf(`form-data; name=%q; filename=%q`, parts[i], parts[i+1])}}
		out, err := w.CreatePart(header)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = out.Write([]byte(parts[i+2]))
	}
	w.Close()
	return b.String(), w.Boundary()
}

// The same key is the same upload, also where both are sent at once and to two services;
// with another bundle it is refused.
func TestSameKeyAtOnce(t *testing.T) {
	t.Parallel()
	database, _ := importedShop(t, "testdata/bundle")
	var handlers []http.Handler
	for range 2 {
		handlers = append(handlers, intakeOn(t, database, startIntake(t, intakeConfig(t, database))))
	}
	one := send("sources.csv", sourcesCSV("Trout"), "", "Idempotency-Key", "once")
	var all sync.WaitGroup
	ids := make([]string, 8)
	for i := range ids {
		all.Go(func() {
			got := one.do(t, handlers[i%2])
			if ids[i] = got.at("upload"); got.Code != http.StatusAccepted && got.Code != http.StatusOK && got.Code != http.StatusCreated {
				t.Errorf("status %d: %s", got.Code, got.Body)
			}
		})
	}
	all.Wait()
	for _, id := range ids {
		if id != ids[0] {
			t.Errorf("the uploads are %v", ids)
			break
		}
	}
	get(t, handlers[0], "/v1/imports/"+strings.Trim(ids[0], `"`)+"?wait=30")
	if list := get(t, handlers[0], "/v1/imports"); list.at("imports.length") != "2" {
		t.Errorf("imports: %s", list.Body)
	}
	other := send("sources.csv", sourcesCSV("Pike"), "", "Idempotency-Key", "once").do(t, handlers[0])
	checked := send("sources.csv", sourcesCSV("Trout"), "&check=true", "Idempotency-Key", "once").do(t, handlers[0])
	for _, got := range []*response{other, checked} {
		if p := problem(t, got); got.Code != 422 || p.Type != "/problems/key-reused" {
			t.Errorf("another request: status %d: %s", got.Code, got.Body)
		}
	}
	if bad := send("sources.csv", sourcesCSV("Trout"), "", "Idempotency-Key", `"`).do(t, handlers[0]); bad.Code != 400 || bad.at("parameter") != `"Idempotency-Key"` {
		t.Errorf("a key that is none: status %d: %s", bad.Code, bad.Body)
	}
}

func TestTooMuchIsSent(t *testing.T) {
	t.Parallel()
	handler, database := newIntake(t, func(c *intake.Config) { c.MostBytes, c.Most = 1000, 2 })
	large := sourcesCSV(strings.Repeat("x", 1000))
	for name, got := range map[string]*response{
		"as it is":   send("sources.csv", large, "").do(t, handler),
		"compressed": send("sources.csv", gzipped(t, large), "", "Content-Encoding", "gzip").do(t, handler),
	} {
		if p := problem(t, got); got.Code != http.StatusRequestEntityTooLarge || p.Type != "/problems/too-large" || !strings.Contains(p.Detail, "1000 bytes") {
			t.Errorf("%s: status %d: %s", name, got.Code, got.Body)
		}
	}
	// While another import is under way, two wait, however long, and the third is refused.
	block, err := bundle.NewStore(database).OpenImport(t.Context(), standin.ImportRequest{})
	if err != nil {
		t.Fatal(err)
	}
	defer block.Rollback()
	first := send("sources.csv", sourcesCSV("first"), "").do(t, handler)
	second := send("sources.csv", sourcesCSV("second"), "").do(t, handler)
	third := send("sources.csv", sourcesCSV("third"), "").do(t, handler)
	if p := problem(t, third); first.Code != 202 || second.Code != 202 || third.Code != 503 || p.Type != "/problems/busy" || third.Header().Get("Retry-After") == "" {
		t.Fatalf("status %d, %d, %d: %s", first.Code, second.Code, third.Code, third.Body)
	}
	if waiting := get(t, handler, first.Header().Get("Location")+"?wait=4"); waiting.at("state") != `"waiting"` {
		t.Errorf("the first: %s", waiting.Body)
	}
	if families := get(t, handler, "/v1/families"); families.Code != http.StatusOK {
		t.Errorf("reading meanwhile: status %d", families.Code)
	}
	block.Rollback()
	for _, one := range []*response{first, second} {
		if ended := get(t, handler, one.Header().Get("Location")+"?wait=30"); ended.at("state") != `"done"` {
			t.Errorf("in the end: %s", ended.Body)
		}
	}
	if again := send("sources.csv", sourcesCSV("third"), "&wait=30").do(t, handler); again.Code != http.StatusCreated {
		t.Errorf("the third again: status %d: %s", again.Code, again.Body)
	}
}

// A body that breaks off leaves no file, no upload and no place taken.
func TestBrokenOffBundle(t *testing.T) {
	t.Parallel()
	var dir string
	handler, _ := newIntake(t, func(c *intake.Config) { c.Most, dir = 1, c.Dir })
	server := httptest.NewServer(handler)
	t.Cleanup(server.Close)
	for range 3 {
		conn, err := net.Dial("tcp", server.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		_, err = io.WriteString(conn, "POST /v1/imports?name=sources.csv HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer catalogue\r\n"+
			"Idempotency-Key: a\r\nContent-Type: text/csv\r\nContent-Length: 500\r\n\r\nsource,title\n")
		if err != nil {
			t.Fatal(err)
		}
		for end := time.Now().Add(10 * time.Second); len(filesIn(t, dir)) == 0 && time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		}
		_ = conn.(*net.TCPConn).CloseWrite()
		answer, err := http.ReadResponse(bufio.NewReader(conn), nil)
		if err != nil || answer.StatusCode != http.StatusBadRequest {
			t.Fatalf("%+v, %v", answer, err)
		}
		answer.Body.Close()
		conn.Close()
	}
	if left := filesIn(t, dir); len(left) > 0 {
		t.Errorf("left: %v", left)
	}
	if list := get(t, handler, "/v1/imports"); list.at("imports.length") != "1" {
		t.Errorf("imports: %s", list.Body)
	}
	if got := send("sources.csv", sourcesCSV("whole"), "&wait=30", "Idempotency-Key", "a").do(t, handler); got.Code != http.StatusCreated {
		t.Errorf("sent whole: status %d: %s", got.Code, got.Body)
	}
}

// filesIn are the files below a folder, locks left out.
func filesIn(t *testing.T, dir string) (all []string) {
	t.Helper()
	_ = filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() && e.Name() != "lock" {
			all = append(all, path)
		}
		return nil // what goes meanwhile is gone
	})
	return all
}

// An import whose rows were changed since is not undone, and the problem says by what.
func TestUndoConflict(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	first := send("sources.csv", sourcesCSV("first"), "&wait=30").do(t, handler)
	second := send("sources.csv", sourcesCSV("second"), "&wait=30").do(t, handler)
	if first.Code != 201 || second.Code != 201 || second.at("import.changed") != "1" {
		t.Fatalf("status %d, %d: %s", first.Code, second.Code, second.Body)
	}
	got := as("catalogue", "POST", "/v1/imports/"+first.at("import.import")+"/undo?wait=30", "").do(t, handler)
	p := problem(t, got)
	if got.Code != 409 || p.Type != "/problems/conflict" || !strings.Contains(p.Detail, "by import "+second.at("import.import")) {
		t.Fatalf("status %d: %s", got.Code, got.Body)
	}
	if u := get(t, handler, "/v1/imports/"+strings.Trim(got.at("upload"), `"`)); u.at("state") != `"refused"` || u.at("undoes") != first.at("import.import") {
		t.Errorf("the upload: %s", u.Body)
	}
	if none := as("catalogue", "POST", "/v1/imports/99/undo", "").do(t, handler); none.Code != 404 {
		t.Errorf("status %d: %s", none.Code, none.Body)
	}
}

// A token for the stock of one place may not send a bundle, which may change any.
func TestTokenOfOneLocation(t *testing.T) {
	t.Parallel()
	handler, _ := newIntake(t, nil)
	for _, c := range []call{
		as("front", "POST", "/v1/imports?name=sources.csv", sourcesCSV("x"), "Content-Type", "text/csv"),
		as("front", "POST", "/v1/imports/1/undo", ""), as("front", "POST", "/v1/imports/1/take", ""),
	} {
		if got := c.do(t, handler); got.Code != http.StatusForbidden || !strings.Contains(got.Body.String(), "front") {
			t.Errorf("%s: status %d: %s", c.target, got.Code, got.Body)
		}
	}
	without := intakeOn(t, imported(t, "testdata/bundle"), nil)
	if got := get(t, without, "/v1/imports"); got.Code != http.StatusNotFound {
		t.Errorf("a service without an intake: status %d: %s", got.Code, got.Body)
	}
}

// A bundle may take longer than other bodies, as long as it keeps coming; a service that
// is to stop does not wait for the rest.
func TestSlowBundle(t *testing.T) {
	t.Parallel()
	database, _ := importedShop(t, "testdata/bundle")
	stopping, stop := context.WithCancel(t.Context())
	config := shopConfig(database, false)
	config.Tokens, config.Intake, config.Stopping = newTokens(), startIntake(t, intakeConfig(t, database)), stopping
	handler, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewUnstartedServer(handler)
	server.Config.ReadTimeout, server.Config.WriteTimeout = 300*time.Millisecond, 300*time.Millisecond
	server.Start()
	t.Cleanup(server.Close)
	post := func(key string, body io.Reader) *http.Response {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, server.URL+"/v1/imports?name=sources.csv&wait=30", body)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Authorization", "Bearer catalogue")
		r.Header.Set("Idempotency-Key", key)
		r.Header.Set("Content-Type", "text/csv")
		answer, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { answer.Body.Close() })
		return answer
	}
	from, to := io.Pipe()
	go func() {
		for piece := range strings.SplitAfterSeq(sourcesCSV("slow"), ",") {
			time.Sleep(100 * time.Millisecond)
			_, _ = io.WriteString(to, piece)
		}
		to.Close()
	}()
	if answer := post("slow", from); answer.StatusCode != http.StatusCreated {
		text, _ := io.ReadAll(answer.Body)
		t.Errorf("in pieces: status %d: %s", answer.StatusCode, text)
	}
	from, to = io.Pipe()
	defer to.Close()
	go func() {
		_, _ = io.WriteString(to, "source,")
		time.Sleep(100 * time.Millisecond)
		stop()
	}()
	began := time.Now()
	answer := post("stopped", from)
	text, _ := io.ReadAll(answer.Body)
	if took := time.Since(began); took > 15*time.Second {
		t.Errorf("the end of the service waits %s for the rest", took)
	}
	if answer.StatusCode != http.StatusServiceUnavailable || !strings.Contains(string(text), "being stopped") {
		t.Errorf("at the end of the service: status %d: %s", answer.StatusCode, text)
	}
}
