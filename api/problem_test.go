package api_test

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"standin"
	"standin/api"
)

const oneMachine = `{"machines":[{"brand":"Wexcombe","model":"DW 410"}]}`

// Requests that are refused: one clear sentence, the parameter, the status.
var refused = []struct {
	name string
	call
	status    int
	kind      string
	parameter string
	sentence  string // in the detail
}{
	{"misspelt parameter", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&serail=1"}, 400, "unknown-parameter", "serail", "did you mean serial? accepted are brand, model, variant,"},
	{"unknown parameter", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&colour=white"}, 400, "unknown-parameter", "colour", `no parameter "colour" here; accepted are`},
	{"parameter where none is taken", call{target: "/v1/models/1?x=1"}, 400, "unknown-parameter", "x", "takes none"},
	{"parameter name with a line break", call{target: "/v1/models/1?%0a=1"}, 400, "unknown-parameter", "", "a name that is not known here"},
	{"parameter given twice", call{target: "/v1/fits?brand=Wexcombe&brand=Other&model=DW+410"}, 400, "bad-request", "brand", "given 2 times"},
	{"query that is none", call{target: "/v1/models?q=%zz"}, 400, "bad-request", "", "The query cannot be read"},
	{"semicolons in the query", call{target: "/v1/fits?brand=Wexcombe;model=DW+410"}, 400, "bad-request", "", "The query cannot be read"},
	{"a sheet for a board that does not fit", call{target: "/v1/sheets.pdf?brand=Wexcombe&model=DW+410&plug=10&part_number=70-1002"}, 409, "does-not-fit", "part_number", "does not fit Wexcombe DW 410"},
	{"a sheet for a build that is not settled", call{target: "/v1/sheets.pdf?brand=Wexcombe&model=DW+410&part_number=70-1002"}, 409, "unsettled", "", "Is there a plug with 10 ways on the harness?"},
	{"no brand", call{target: "/v1/fits?model=DW+410"}, 400, "bad-request", "brand", "brand is missing"},
	{"empty model", call{target: "/v1/fits?brand=Wexcombe&model="}, 400, "bad-request", "model", "model is empty"},
	{"made in another form", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&made=3/2001"}, 400, "bad-request", "made", "2004-09-17"},
	{"plug that is no number", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&plug=ten"}, 400, "bad-request", "plug", "6 2 2"},
	{"plug of no ways", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&plug=0"}, 400, "bad-request", "plug", "6 2 2"},
	{"too many plugs", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&plug=" + strings.Repeat("1+", 100) + "1"}, 400, "bad-request", "plug", "at most"},
	{"serial too long", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&serial=" + strings.Repeat("1", 201)}, 400, "bad-request", "serial", "at most 200 characters"},
	{"NUL in a value", call{target: "/v1/fits?brand=Wexcombe%00&model=DW+410"}, 400, "bad-request", "brand", "plain text"},
	{"NUL in what is looked for", call{target: "/v1/models?q=a%00"}, 400, "bad-request", "q", "plain text"},
	{"value that is not UTF-8", call{target: "/v1/fits?brand=%ff&model=DW+410"}, 400, "bad-request", "brand", "plain text"},
	{"all that is neither", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&all=maybe"}, 400, "bad-request", "all", "true or false"},
	{"all that is empty", call{target: "/v1/fits?brand=Wexcombe&model=DW+410&all="}, 400, "bad-request", "all", "true or false"},
	{"limit too large", call{target: "/v1/models?q=W&limit=201"}, 400, "bad-request", "limit", "a whole number from 1 to 200"},
	{"limit that is no number", call{target: "/v1/families?limit=many"}, 400, "bad-request", "limit", "a whole number from 1 to 200"},
	{"a key that is none", call{target: "/v1/models/Wexcombe~DW%20410"}, 400, "bad-request", "id", "not the key of a model"},
	{"a key of no model", call{target: "/v1/models/Wexcombe~DW.20411"}, 404, "not-found", "id", ""},
	{"a filter with what was typed", call{target: "/v1/models?q=W&kind=dishwasher"}, 400, "bad-request", "kind", "leave one of them out"},
	{"a cursor of another list", call{target: "/v1/models?after=WyIxIl0"}, 400, "bad-request", "after", "not from a Link header of this list"},
	{"nothing typed", call{target: "/v1/models?q=+"}, 400, "bad-request", "q", "q is empty"},
	{"id that is no number", call{target: "/v1/models/abc"}, 400, "bad-request", "id", "a whole number from 1; /v1/models gives both"},
	{"cursor made up", call{target: "/v1/families?after=Curlew"}, 400, "bad-request", "after", "Link header"},
	{"cursor of another list", call{target: "/v1/families?after=WyJhIiwiYiIsImMiXQ"}, 400, "bad-request", "after", "Link header"},
	{"cursor with a NUL", call{target: "/v1/families?after=WyJcdTAwMDAiXQ"}, 400, "bad-request", "after", "Link header"},
	{"path out of the tree", call{target: "/v1/boards/..%2f..%2fetc%2fpasswd"}, 404, "not-found", "part_number", ""},
	{"path with a NUL", call{target: "/v1/boards/%00"}, 400, "bad-request", "part_number", "plain text"},
	{"path with an escaped slash and a NUL", call{target: "/v1/boards/a%2fb%00"}, 400, "bad-request", "part_number", "plain text"},
	{"part number too long", call{target: "/v1/boards/" + strings.Repeat("7", 201)}, 400, "bad-request", "part_number", "at most 200 characters"},
	{"no part number", call{target: "/v1/boards/"}, 404, "not-found", "", "nothing at this address"},
	{"address that is not there", call{target: "/v1/nothing"}, 404, "not-found", "", "nothing at this address"},
	{"address outside /v1", call{target: "/admin.php"}, 404, "not-found", "", "nothing at this address"},
	{"problem type that is not there", call{target: "/problems/none"}, 404, "not-found", "", "nothing at this address"},

	{"no body", call{method: "POST", target: "/v1/fits", header: []string{"Content-Type", "application/json"}}, 400, "bad-request", "", "The body is missing"},
	{"broken JSON", call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":`}, 400, "bad-request", "", "The body is not JSON"},
	{"two bodies in one", call{method: "POST", target: "/v1/fits", body: oneMachine + oneMachine}, 400, "bad-request", "", "The body is not JSON"},
	{"body that is not UTF-8", call{method: "POST", target: "/v1/fits", body: "{\"machines\":[{\"brand\":\"\xff\",\"model\":\"1\"}]}"}, 400, "bad-request", "", "not UTF-8"},
	{"body of another kind", call{method: "POST", target: "/v1/fits", body: `[]`}, 400, "bad-request", "", "an object with all, machines"},
	{"no machine", call{method: "POST", target: "/v1/fits", body: `{"machines":[]}`}, 400, "bad-request", "/machines", "a list of 1 to 1000 entries"},
	{"1,001 machines", call{method: "POST", target: "/v1/fits", body: machines(1001)}, 400, "bad-request", "/machines", "a list of 1 to 1000 entries"},
	{"misspelt field", call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":"a","model":"b"},{"brand":"a","model":"b","serail":"1"}]}`}, 400, "unknown-parameter", "/machines/1/serail", "did you mean serial?"},
	{"field left out", call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":"a"}]}`}, 400, "bad-request", "/machines/0/model", "is missing"},
	{"number as a brand", call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":7,"model":"b"}]}`}, 400, "bad-request", "/machines/0/brand", "must be text"},
	{"plug as text", call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":"a","model":"b","plug":"10"}]}`}, 400, "bad-request", "/machines/0/plug", "must be a list"},
	{"another content type", call{method: "POST", target: "/v1/fits", body: oneMachine, header: []string{"Content-Type", "text/csv"}}, 415, "unsupported-media-type", "", "application/json"},
	{"a body too large", call{method: "POST", target: "/v1/fits", body: `{"machines":[` + strings.Repeat(" ", 4<<20) + `]}`}, 413, "too-large", "", "larger than 4 MiB"},
	{"a word that there is not", call{method: "GET", target: "/v1/holds?state=Held"}, 400, "bad-request", "state", "must be one of held, released, taken, expired"},
	{"wrong method", call{method: "DELETE", target: "/v1/fits"}, 405, "method-not-allowed", "", "does not take this method"},
	{"wrong method where there is a parameter", call{method: "PUT", target: "/v1/boards/70-1001"}, 405, "method-not-allowed", "", "does not take this method"},
}

func TestRefused(t *testing.T) {
	t.Parallel()
	for name, store := range stores(t) {
		handler := newAPI(t, store)
		for _, c := range refused {
			t.Run(name+"/"+c.name, func(t *testing.T) {
				t.Parallel()
				got := c.do(t, handler)
				p := problem(t, got)
				if got.Code != c.status || p.Status != c.status {
					t.Errorf("status %d, in the problem %d, want %d", got.Code, p.Status, c.status)
				}
				if want := "/problems/" + c.kind; p.Type != want {
					t.Errorf("type %q, want %q", p.Type, want)
				}
				if p.Parameter != c.parameter {
					t.Errorf("parameter %q, want %q", p.Parameter, c.parameter)
				}
				if !strings.Contains(p.Detail, c.sentence) {
					t.Errorf("detail %q, want it to say %q", p.Detail, c.sentence)
				}
				if len(p.Detail) > 300 {
					t.Errorf("the detail has %d characters; nobody reads that", len(p.Detail))
				}
			})
		}
	}
}

// RFC 9110, 15.5.6: a 405 names the methods in Allow.
func TestWrongMethodNamesTheRightOnes(t *testing.T) {
	t.Parallel()
	got := call{method: "DELETE", target: "/v1/fits"}.do(t, newAPI(t, newCatalogue()))
	allow := got.Header().Get("Allow")
	for _, method := range []string{"GET", "HEAD", "POST"} {
		if !strings.Contains(allow, method) {
			t.Errorf("Allow is %q, without %s", allow, method)
		}
	}
}

// Every error of the core is a problem of its own type and status.
func TestErrorsOfTheCore(t *testing.T) {
	t.Parallel()
	for code, want := range map[standin.Code]struct {
		status int
		kind   string
	}{
		standin.CodeBadRequest:   {400, "bad-request"},
		standin.CodeUnauthorized: {401, "unauthorized"},
		standin.CodeForbidden:    {403, "forbidden"},
		standin.CodeUnknownModel: {404, "unknown-model"},
		standin.CodeNotFound:     {404, "not-found"},
		standin.CodeConflict:     {409, "conflict"},
		standin.CodeDoesNotFit:   {409, "does-not-fit"},
		standin.CodeUnsettled:    {409, "unsettled"},
		standin.CodeNotFree:      {409, "not-free"},
		standin.CodePrecondition: {412, "precondition"},
		standin.CodeKeyReused:    {422, "key-reused"},
		standin.CodeRejected:     {422, "rejected"},
		standin.CodeUnavailable:  {503, "unavailable"},
		standin.CodeSchema:       {503, "schema"},
		standin.CodeNoSpace:      {507, "no-space"},
		"something new":          {500, "internal"},
	} {
		t.Run(string(code), func(t *testing.T) {
			t.Parallel()
			c := newCatalogue()
			c.failure = &standin.Error{Code: code, Message: "what people read", Cause: errors.New("what the log reads")}
			got := get(t, unchecked(t, c), "/v1/families") // which the contract does not let fail in all these ways
			if err := strictContract(t).problem(got.ResponseRecorder); err != nil {
				t.Error(err)
			}
			p := problem(t, got)
			if got.Code != want.status || p.Type != "/problems/"+want.kind {
				t.Errorf("%d %s, want %d %s", got.Code, p.Type, want.status, want.kind)
			}
			if strings.Contains(got.Body.String(), "the log reads") {
				t.Errorf("the cause is shown: %s", got.Body)
			}
			if got.Header().Get("ETag") != "" {
				t.Error("a problem has an ETag")
			}
			// RFC 9110, 10.2.3.
			if retry := got.Header().Get("Retry-After"); (retry != "") != (want.status == 503) {
				t.Errorf("Retry-After is %q", retry)
			}
		})
	}
}

// What the contract declares can happen, and nothing else does.
func TestEveryProblemTypeIsReached(t *testing.T) {
	t.Parallel()
	reached := map[string]bool{}
	for _, c := range refused {
		reached["/problems/"+c.kind] = true
	}
	for _, kind := range []string{"unauthorized", "forbidden", "not-free", "precondition", "key-reused", "unknown-model", "conflict", "rejected", "unavailable", "schema", "no-space", "internal"} {
		reached["/problems/"+kind] = true // TestErrorsOfTheCore
	}
	reached["/problems/request-timeout"] = true   // TestSlowBody
	reached["/problems/too-many-requests"] = true // TestRateLimit
	reached["/problems/busy"] = true              // TestBatchesAreBounded
	handler := newAPI(t, newCatalogue())
	declared := strictContract(t).document.Components.Schemas["Problem"].Value.Properties["type"].Value.Enum
	for _, kind := range declared {
		if !reached[kind.(string)] {
			t.Errorf("no test reaches %s", kind)
		}
		if got := get(t, handler, kind.(string)); got.Code != http.StatusOK {
			t.Errorf("%s, followed as an address: status %d", kind, got.Code)
		}
	}
	if len(declared) != len(reached) {
		t.Errorf("%d types are declared, %d reached", len(declared), len(reached))
	}
}

func TestReadyOnlyWithItsDatabase(t *testing.T) {
	t.Parallel()
	c := newCatalogue()
	c.failure = &standin.Error{Code: standin.CodeSchema, Message: "the schema is newer than this program"}
	handler := newAPI(t, c)
	if got := get(t, handler, "/readyz"); got.Code != http.StatusServiceUnavailable {
		t.Errorf("/readyz: status %d", got.Code)
	}
	if got := get(t, handler, "/healthz"); got.Code != http.StatusOK {
		t.Errorf("/healthz: status %d", got.Code)
	}
}

// The same over PostgreSQL, whose connections are gone.
func TestDatabaseAway(t *testing.T) {
	t.Parallel()
	store := imported(t, "testdata/bundle")
	handler := newAPI(t, store)
	store.Close()
	for _, target := range []string{"/v1/fits?brand=Wexcombe&model=DW+410", "/v1/families", "/readyz"} {
		got := get(t, handler, target)
		if p := problem(t, got); p.Type != "/problems/unavailable" || got.Code != 503 || got.Header().Get("Retry-After") == "" {
			t.Errorf("%s: status %d, %+v", target, got.Code, p)
		}
	}
}

// A fault of the program is a problem like any other, and its cause is in the
// log under the id that the client was told.
func TestPanic(t *testing.T) {
	t.Parallel()
	var log strings.Builder
	handler, err := api.New(api.Config{Catalogue: panicking{}, Log: slog.New(slog.NewTextHandler(&log, nil))})
	if err != nil {
		t.Fatal(err)
	}
	got := call{target: "/v1/families", header: []string{"X-Request-Id", "job-7"}}.do(t, handler)
	if p := problem(t, got); p.Type != "/problems/internal" || strings.Contains(p.Detail, "fell over") {
		t.Errorf("the problem is %+v", p)
	}
	for _, want := range []string{"fell over", "request_id=job-7", "status=500", "route=/v1/families"} {
		if !strings.Contains(log.String(), want) {
			t.Errorf("the log lacks %q:\n%s", want, log.String())
		}
	}
}

type panicking struct{ standin.Catalogue }

func (panicking) State(context.Context) (standin.State, error) { panic("fell over") }

// A request's evidence stays out of the log.
func TestLogHasNoEvidence(t *testing.T) {
	t.Parallel()
	var log strings.Builder
	handler, err := api.New(api.Config{Catalogue: newCatalogue(), Log: slog.New(slog.NewTextHandler(&log, nil))})
	if err != nil {
		t.Fatal(err)
	}
	get(t, handler, "/v1/fits?brand=Wexcombe&model=DW+410&serial="+url.QueryEscape("SN 0815"))
	if !strings.Contains(log.String(), "status=200") || strings.Contains(log.String(), "0815") {
		t.Errorf("the log is:\n%s", log.String())
	}
}

type problemBody struct {
	Type, Title, Detail, Parameter string
	Status                         int
}

func problem(t testing.TB, r *response) problemBody {
	t.Helper()
	var p problemBody
	if err := json.Unmarshal(r.Body.Bytes(), &p); err != nil {
		t.Fatalf("status %d, not a problem: %v: %.200s", r.Code, err, r.Body)
	}
	return p
}

// machines is a body that asks for the same machine n times.
func machines(n int) string {
	one := `{"brand":"Wexcombe","model":"DW 410"}`
	return `{"machines":[` + strings.TrimSuffix(strings.Repeat(one+",", n), ",") + `]}`
}
