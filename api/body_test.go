package api_test

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"
	"time"

	"standin/api"
)

// RFC 9110, 8.3.1: the names of a media type and of its parameters are read without
// regard to case. RFC 8259, 11: JSON has no parameters, so that one is ignored.
func TestContentTypeHasNoCase(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for _, kind := range []string{
		"application/json", "application/JSON", "Application/Json", "APPLICATION/JSON;CHARSET=UTF-8", "application/json ; charset=utf-8",
	} {
		got := call{method: "POST", target: "/v1/fits", body: oneMachine, header: []string{"Content-Type", kind}}.do(t, handler)
		if got.Code != http.StatusOK {
			t.Errorf("%s: status %d: %s", kind, got.Code, got.Body)
		}
	}
	for _, kind := range []string{"", "json", "application/json;", "application/jsonx", "application/json, text/csv", "text/csv; x=application/json"} {
		got := call{method: "POST", target: "/v1/fits", body: oneMachine, header: []string{"Content-Type", kind}}.do(t, handler)
		want := http.StatusUnsupportedMediaType
		if kind == "application/json;" { // RFC 9110, 5.6.6: an empty parameter is none
			want = http.StatusOK
		}
		if got.Code != want {
			t.Errorf("%q: status %d, want %d", kind, got.Code, want)
		}
	}
}

// RFC 8259, 4: names within an object should be unique; of two alike each program
// takes another.
func TestNamesAreUnique(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for name, c := range map[string]struct{ target, body, place string }{
		"on top":              {"/v1/fits", `{"all":true,"machines":[{"brand":"a","model":"b"}],"all":false}`, "/all"},
		"in a list":           {"/v1/fits", `{"machines":[{"brand":"a","model":"b"},{"brand":"a","serial":"1","model":"b","serial":"2"}]}`, "/machines/1/serial"},
		"written differently": {"/v1/fits", `{"machines":[{"brand":"a","model":"b","mod\u0065l":"c"}]}`, "/machines/0/model"},
		"a point":             {"/v1/readings/verify", `{"family":"Grebe","code":"A B","ticks":{"K1":"lit","K2":"lit","K1":"unlit"}}`, "/ticks/K1"},
		"a name to escape":    {"/v1/readings/verify", `{"family":"Grebe","code":"A B","ticks":{"a/b~":"lit","a/b~":"unlit"}}`, "/ticks/a~1b~0"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := call{method: "POST", target: c.target, body: c.body}.do(t, handler)
			p := problem(t, got)
			if got.Code != http.StatusBadRequest || p.Type != "/problems/bad-request" || p.Parameter != c.place || !strings.Contains(p.Detail, "more than once") {
				t.Errorf("status %d: %+v, want it to be about %s", got.Code, p, c.place)
			}
		})
	}
	// The same name in two objects is not the same twice.
	if got := (call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":"a","model":"b"},{"brand":"a","model":"b"}]}`}).do(t, handler); got.Code != http.StatusOK {
		t.Errorf("status %d: %s", got.Code, got.Body)
	}
}

func TestTooManyTicks(t *testing.T) {
	t.Parallel()
	var body strings.Builder
	body.WriteString(`{"family":"Grebe","code":"A B","ticks":{`)
	for i := range 1001 {
		if i > 0 {
			body.WriteByte(',')
		}
		body.WriteString(`"K` + strings.Repeat("1", i%7) + strings.Repeat("2", i/7) + `":"lit"`)
	}
	body.WriteString(`}}`)
	p := problem(t, call{method: "POST", target: "/v1/readings/verify", body: body.String()}.do(t, newAPI(t, newCatalogue())))
	if want := "/ticks must be an object with at most 1000 entries."; p.Detail != want || p.Parameter != "/ticks" {
		t.Errorf("%+v, want %q", p, want)
	}
}

// One value is refused in one way, however it is asked.
func TestPlugIsRefusedInOneWay(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for _, ways := range []string{"0", "1000", "-3"} {
		alone := problem(t, get(t, handler, "/v1/fits?brand=Wexcombe&model=DW+410&plug="+ways))
		among := call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":"Wexcombe","model":"DW 410","plug":[` + ways + `]}]}`}.do(t, handler)
		if got, want := among.at("answers.0.detail"), strconv.Quote(alone.Detail); strings.ReplaceAll(got, `\"`, `"`) != strings.ReplaceAll(want, `\"`, `"`) {
			t.Errorf("%s ways: %s in a batch, %s alone", ways, got, want)
		}
	}
}

func TestCompressedBody(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	send := func(body, coding string) *response {
		return call{method: "POST", target: "/v1/fits", body: body, header: []string{"Content-Encoding", coding}}.do(t, handler)
	}
	for _, coding := range []string{"gzip", "GZIP", "x-gzip"} { // RFC 9110, 8.4.1 and 8.4.1.3
		if got := send(gzipped(t, oneMachine), coding); got.Code != http.StatusOK {
			t.Errorf("%s: status %d: %s", coding, got.Code, got.Body)
		}
	}
	if got := send(oneMachine, "identity"); got.Code != http.StatusOK {
		t.Errorf("identity: status %d: %s", got.Code, got.Body)
	}
	for name, c := range map[string]struct {
		body, coding string
		status       int
		says         string
	}{
		"another coding":        {oneMachine, "br", 415, "gzip"},
		"two codings":           {gzipped(t, oneMachine), "gzip, gzip", 415, "gzip"},
		"not gzip":              {oneMachine, "gzip", 400, "not gzip"},
		"cut off":               {gzipped(t, oneMachine)[:30], "gzip", 400, "not gzip"},
		"not JSON within":       {gzipped(t, "{"), "gzip", 400, "not JSON"},
		"nothing within":        {gzipped(t, ""), "gzip", 400, "missing"},
		"too large once opened": {gzipped(t, `{"machines":[`+strings.Repeat(" ", 5<<20)+`]}`), "gzip", 413, "4 MiB"},
	} {
		got := send(c.body, c.coding)
		if p := problem(t, got); got.Code != c.status || !strings.Contains(p.Detail, c.says) {
			t.Errorf("%s: status %d: %+v", name, got.Code, p)
		}
		// RFC 9110, 12.5.3: with 415 it says which codings would have been taken.
		if accepted := got.Header().Get("Accept-Encoding"); (accepted == "gzip") != (c.status == 415) {
			t.Errorf("%s: Accept-Encoding %q", name, accepted)
		}
	}
}

func gzipped(t testing.TB, text string) string {
	t.Helper()
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	if _, err := io.WriteString(w, text); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return packed.String()
}

// slowly sends the beginning of a body and is the answer that the rest is not
// waited for with.
func slowly(t *testing.T, address string, meanwhile func()) *http.Response {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	if _, err := io.WriteString(conn, "POST /v1/fits HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 500\r\n\r\n{\"machines\""); err != nil {
		t.Fatal(err)
	}
	meanwhile()
	if err := conn.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
		t.Fatal(err)
	}
	answer, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		t.Fatalf("no answer: %v", err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	return answer
}

// RFC 9110, 15.5.9: who does not send in time is told so, not that the request is
// malformed.
func TestSlowBody(t *testing.T) {
	t.Parallel()
	server := httptest.NewUnstartedServer(newAPI(t, newCatalogue()))
	server.Config.ReadTimeout = 200 * time.Millisecond
	server.Start()
	t.Cleanup(server.Close)
	answer := slowly(t, server.Listener.Addr().String(), func() {})
	body, _ := io.ReadAll(answer.Body)
	if answer.StatusCode != http.StatusRequestTimeout || !bytes.Contains(body, []byte("/problems/request-timeout")) || !answer.Close {
		t.Errorf("status %d, close %t: %s", answer.StatusCode, answer.Close, body)
	}
}

// A server that is to stop does not wait for a body that is still being sent.
func TestSlowBodyDoesNotHoldTheEnd(t *testing.T) {
	t.Parallel()
	stopping, stop := context.WithCancel(t.Context())
	handler, err := api.New(api.Config{Catalogue: newCatalogue(), Stopping: stopping})
	if err != nil {
		t.Fatal(err)
	}
	reading := make(chan struct{})
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		close(reading)
		handler.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	answer := slowly(t, server.Listener.Addr().String(), func() { <-reading; stop() })
	body, _ := io.ReadAll(answer.Body)
	if answer.StatusCode != http.StatusServiceUnavailable || answer.Header.Get("Retry-After") == "" || !bytes.Contains(body, []byte("being stopped")) {
		t.Errorf("status %d: %s", answer.StatusCode, body)
	}
}
