package api_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"regexp"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"golang.org/x/net/html"

	"standin"
	"standin/api"
)

func configured(t testing.TB, config api.Config) *api.Service {
	t.Helper()
	if config.Catalogue == nil {
		config.Catalogue = newCatalogue()
	}
	service, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	return service
}

// figuresOf are the lines of the metrics that begin with a name.
func figuresOf(t testing.TB, service *api.Service, name string) []string {
	t.Helper()
	recorded := httptest.NewRecorder()
	service.Metrics().ServeHTTP(recorded, httptest.NewRequest(http.MethodGet, "/", nil))
	if recorded.Code != http.StatusOK {
		t.Fatalf("status %d: %s", recorded.Code, recorded.Body)
	}
	var lines []string
	for line := range strings.Lines(recorded.Body.String()) {
		if strings.HasPrefix(line, name) {
			lines = append(lines, strings.TrimSpace(line))
		}
	}
	return lines
}

type counted struct{}

func (counted) Measures() []standin.Measure {
	return []standin.Measure{
		{Name: "looms", Help: "Looms.", Labels: []standin.Label{{Name: "at", Value: "front"}}, Value: 3},
		{Name: "looms_sold_total", Help: "Looms sold.", Sum: true, Value: 7},
	}
}

func TestMetrics(t *testing.T) {
	t.Parallel()
	service := configured(t, api.Config{Measured: []standin.Measured{counted{}}})
	for _, target := range []string{
		"/v1/fits?brand=Wexcombe&model=DW+410", "/v1/fits?brand=Wexcombe&model=DW+410&plug=6+2+2", "/v1/fits?brand=No&model=One",
		"/fits?brand=Wexcombe&model=DW+410&plug=6+2+2", "/v1/fits?brand=Wexcombe&model=DW+410&plug=99", "/v1/fits?brand=Wexcombe&model=DW+500",
	} {
		get(t, service, target)
	}
	call{method: "POST", target: "/v1/readings/verify", body: `{"family":"Grebe","code":"A B","reading":"0001"}`}.do(t, service)
	for _, want := range []string{
		`standin_questions_total{outcome="depends"} 1`, `standin_questions_total{outcome="fits"} 2`, `standin_questions_total{outcome="unknown-model"} 1`,
		`standin_questions_total{outcome="contradiction"} 1`, `standin_questions_total{outcome="nothing"} 1`,
		`standin_question_duration_seconds_count{machines="one"} 6`, `standin_readings_total{outcome="tallies"} 1`,
		`standin_http_request_duration_seconds_count{method="GET",route="/v1/fits",status="200"} 4`,
		`standin_http_request_duration_seconds_count{method="GET",route="/v1/fits",status="404"} 1`,
		`standin_looms{at="front"} 3`, `standin_looms_sold_total 7`,
	} {
		if got := figuresOf(t, service, want[:strings.LastIndex(want, " ")]); len(got) != 1 || got[0] != want {
			t.Errorf("%q, want %s", got, want)
		}
	}
	if got := get(t, service, "/metrics"); got.Code != http.StatusOK || !strings.Contains(got.Body.String(), "go_goroutines") {
		t.Errorf("/metrics: status %d", got.Code)
	}
	apart := configured(t, api.Config{MetricsApart: true})
	if got := get(t, apart, "/metrics"); got.Code != http.StatusNotFound {
		t.Errorf("/metrics is at the address of the service too: status %d", got.Code)
	}
}

// Nothing that a client makes up becomes a series of its own.
func TestMetricsDoNotGrow(t *testing.T) {
	t.Parallel()
	service := configured(t, api.Config{})
	ask := func(i int) {
		for _, path := range []string{"/v1/boards/%d", "/made-up/%d", "/problems/x%d", "/static/x%d", "/docs/x%d", "/v1/fits?brand=%d&model=x"} {
			r := httptest.NewRequest(http.MethodGet, fmt.Sprintf(path, i), nil)
			r.Host = fmt.Sprintf("host%d.example", i)
			service.ServeHTTP(httptest.NewRecorder(), r)
		}
		service.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest(fmt.Sprintf("METHOD%d", i), "/v1/fits", nil))
	}
	ask(0)
	before := len(figuresOf(t, service, "standin_"))
	for i := range 50 {
		ask(i + 1)
	}
	if after := len(figuresOf(t, service, "standin_")); after != before || before == 0 {
		t.Errorf("%d series have become %d", before, after)
	}
}

// W3C Trace Context, 3.2.2 (the examples) and 4.3: a valid traceparent is
// continued, any other is as if there were none.
func TestTrace(t *testing.T) {
	t.Parallel()
	const id, parent = "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7"
	for name, c := range map[string]struct {
		header    string
		continued bool
	}{
		"sampled":                      {"00-" + id + "-" + parent + "-01", true},
		"not sampled":                  {"00-" + id + "-" + parent + "-00", true},
		"a later version":              {"cc-" + id + "-" + parent + "-01", true},
		"a later version, more fields": {"cc-" + id + "-" + parent + "-01-what-comes", true},
		"version 00 with more":         {"00-" + id + "-" + parent + "-01-more", false},
		"a version that is none":       {"ff-" + id + "-" + parent + "-01", false},
		"no trace":                     {"00-00000000000000000000000000000000-" + parent + "-01", false},
		"no parent":                    {"00-" + id + "-0000000000000000-01", false},
		"upper case":                   {"00-" + strings.ToUpper(id) + "-" + parent + "-01", false},
		"too short":                    {"00-" + id[1:] + "-" + parent + "-01", false},
		"nothing":                      {"", false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var log bytes.Buffer
			service := configured(t, api.Config{Log: slog.New(slog.NewJSONHandler(&log, nil))})
			got := call{target: "/v1/families", header: []string{"Traceparent", c.header}}.do(t, service)
			answered := regexp.MustCompile(`^00-([0-9a-f]{32})-([0-9a-f]{16})-[0-9a-f]{2}$`).FindStringSubmatch(got.Header().Get("Traceresponse"))
			if answered == nil || answered[2] == parent {
				t.Fatalf("traceresponse is %q", got.Header().Get("Traceresponse"))
			}
			if continued := answered[1] == id; continued != c.continued {
				t.Errorf("%q is continued: %t", c.header, continued)
			}
			var line struct {
				TraceID   string `json:"trace_id"`
				SpanID    string `json:"span_id"`
				RequestID string `json:"request_id"`
			}
			if err := json.Unmarshal(log.Bytes(), &line); err != nil {
				t.Fatalf("the log: %v: %s", err, log.String())
			}
			if line.TraceID != answered[1] || line.SpanID != answered[2] || line.RequestID != got.Header().Get("X-Request-Id") || line.RequestID != line.TraceID {
				t.Errorf("the log has %+v, the answer %q and %q", line, answered[0], got.Header().Get("X-Request-Id"))
			}
		})
	}
	chosen := call{target: "/v1/families", header: []string{"Traceparent", "00-" + id + "-" + parent + "-01", "X-Request-Id", "job-7"}}.do(t, configured(t, api.Config{}))
	if got := chosen.Header().Get("X-Request-Id"); got != "job-7" {
		t.Errorf("the id that was chosen has become %q", got)
	}
}

// draft-ietf-httpapi-ratelimit-headers-10, 3 and 4; RFC 6585, 4.
func TestRateLimit(t *testing.T) {
	t.Parallel()
	contract := strictContract(t)
	service := configured(t, api.Config{RateLimit: 3, TrustedProxies: []netip.Prefix{netip.MustParsePrefix("192.0.2.1/32")}})
	ask := func(target, client string) *response {
		r := httptest.NewRequest(http.MethodGet, target, nil) // from 192.0.2.1
		r.Header.Set("X-Forwarded-For", client)
		recorded := httptest.NewRecorder()
		service.ServeHTTP(recorded, r)
		if err := contract.violation(r, recorded); err != nil {
			t.Error(err)
		}
		return &response{recorded}
	}
	for left := 2; left >= 0; left-- {
		got := ask("/v1/families", "198.51.100.7")
		if got.Code != http.StatusOK || got.Header().Get("RateLimit-Policy") != `"caller";q=3;w=60` {
			t.Errorf("status %d, policy %q", got.Code, got.Header().Get("RateLimit-Policy"))
		}
		if limit := got.Header().Get("RateLimit"); !regexp.MustCompile(fmt.Sprintf(`^"caller";r=%d;t=([1-9]|[1-5][0-9]|60)$`, left)).MatchString(limit) {
			t.Errorf("RateLimit is %q with %d left", limit, left)
		}
	}
	over := ask("/v1/families", "198.51.100.7")
	if p := problem(t, over); over.Code != http.StatusTooManyRequests || p.Type != "/problems/too-many-requests" || over.Header().Get("Retry-After") == "" {
		t.Errorf("status %d, Retry-After %q, %+v", over.Code, over.Header().Get("Retry-After"), p)
	}
	if got := ask("/v1/families", "198.51.100.8"); got.Code != http.StatusOK {
		t.Errorf("another client: status %d", got.Code)
	}
	for range 5 {
		if got := ask("/healthz", "198.51.100.7"); got.Code != http.StatusOK || got.Header().Get("RateLimit") != "" {
			t.Errorf("/healthz: status %d", got.Code)
		}
	}
}

// Who shows a token is counted by it, wherever from; tokens that do not count are
// counted by where they come from.
func TestRateLimitByToken(t *testing.T) {
	t.Parallel()
	service := configured(t, api.Config{RateLimit: 2, Tokens: newTokens()})
	ask := func(token, client string) int {
		r := httptest.NewRequest(http.MethodGet, "/v1/families", nil)
		r.RemoteAddr = client + ":1"
		r.Header.Set("Authorization", "Bearer "+token)
		recorded := httptest.NewRecorder()
		service.ServeHTTP(recorded, r)
		return recorded.Code
	}
	for i, c := range []struct {
		token, client string
		want          int
	}{
		{"read", "198.51.100.1", 200}, {"read", "198.51.100.2", 200}, {"read", "198.51.100.3", 429},
		{"stock", "198.51.100.1", 200},
		{"made up", "198.51.100.9", 401}, {"made up again", "198.51.100.9", 401}, {"and again", "198.51.100.9", 429}, {"admin", "198.51.100.9", 429},
		{"admin", "198.51.100.1", 200},
	} {
		if got := ask(c.token, c.client); got != c.want {
			t.Errorf("%d: %s from %s: status %d, want %d", i, c.token, c.client, got, c.want)
		}
	}
}

// What a client says of its own address counts only where a trusted proxy says it.
func TestTrustedProxies(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		trusted, connection, forwarded, want string
	}{
		"no proxy is trusted":               {"", "203.0.113.9:1", "198.51.100.7", "203.0.113.9"},
		"a proxy":                           {"203.0.113.0/24", "203.0.113.9:1", "198.51.100.7", "198.51.100.7"},
		"a proxy of IPv6":                   {"2001:db8::/32", "[2001:db8::1]:1", "198.51.100.7", "198.51.100.7"},
		"somebody else":                     {"203.0.113.0/24", "198.51.100.1:1", "198.51.100.7", "198.51.100.1"},
		"a client that makes one up":        {"203.0.113.0/24", "203.0.113.9:1", "192.0.2.66, 198.51.100.7", "198.51.100.7"},
		"two proxies":                       {"203.0.113.0/24", "203.0.113.9:1", "198.51.100.7, 203.0.113.8", "198.51.100.7"},
		"loopback is not trusted by itself": {"203.0.113.0/24", "127.0.0.1:1", "198.51.100.7", "127.0.0.1"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var log bytes.Buffer
			config := api.Config{Log: slog.New(slog.NewJSONHandler(&log, nil))}
			if c.trusted != "" {
				config.TrustedProxies = []netip.Prefix{netip.MustParsePrefix(c.trusted)}
			}
			r := httptest.NewRequest(http.MethodGet, "/healthz", nil)
			r.RemoteAddr = c.connection
			r.Header.Set("X-Forwarded-For", c.forwarded)
			configured(t, config).ServeHTTP(httptest.NewRecorder(), r)
			if !strings.Contains(log.String(), `"from":"`+c.want+`"`) {
				t.Errorf("the log is %s, want it from %s", log.String(), c.want)
			}
		})
	}
}

// The CORS protocol (Fetch standard, 3.3): off unless asked for, and then for the
// API alone.
func TestOtherOrigins(t *testing.T) {
	t.Parallel()
	const shop = "https://shop.example"
	preflight := func(service http.Handler, origin, path string) http.Header {
		return call{method: "OPTIONS", target: path, header: []string{"Origin", origin, "Access-Control-Request-Method", "POST",
			"Access-Control-Request-Headers", "content-type"}}.do(t, service).Header()
	}
	open := configured(t, api.Config{Origins: []string{shop}})
	if h := preflight(open, shop, "/v1/fits"); h.Get("Access-Control-Allow-Origin") != shop || !strings.Contains(h.Get("Access-Control-Allow-Methods"), "POST") ||
		!strings.Contains(h.Get("Access-Control-Allow-Headers"), "Content-Type") || h.Get("Access-Control-Allow-Credentials") != "" {
		t.Errorf("the preflight answers %v", h)
	}
	asked := call{target: "/v1/families", header: []string{"Origin", shop}}.do(t, open)
	if asked.Header().Get("Access-Control-Allow-Origin") != shop || !strings.Contains(asked.Header().Get("Access-Control-Expose-Headers"), "Link") || asked.Code != http.StatusOK {
		t.Errorf("a call answers %d with %v", asked.Code, asked.Header())
	}
	for name, h := range map[string]http.Header{
		"another origin": preflight(open, "https://other.example", "/v1/fits"),
		"a page":         preflight(open, shop, "/fits"),
		"off":            preflight(configured(t, api.Config{}), shop, "/v1/fits"),
	} {
		if got := h.Get("Access-Control-Allow-Origin"); got != "" {
			t.Errorf("%s: %q is allowed", name, got)
		}
	}
	for origin, right := range map[string]bool{"*": true, shop: true, "http://localhost:5173": true, "shop.example": false, shop + "/": false, "https://": false, "": false, "null": false} {
		if _, err := api.New(api.Config{Catalogue: newCatalogue(), Origins: []string{origin}}); (err == nil) != right {
			t.Errorf("%q: %v", origin, err)
		}
	}
}

// The contract as JSON is the same document.
func TestContractAsJSON(t *testing.T) {
	t.Parallel()
	got := get(t, newAPI(t, newCatalogue()), "/openapi.json")
	if got.Code != http.StatusOK || got.Header().Get("Content-Type") != "application/json" {
		t.Fatalf("status %d, %s", got.Code, got.Header().Get("Content-Type"))
	}
	document, err := openapi3.NewLoader().LoadFromData(got.Body.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if err := document.Validate(t.Context()); err != nil {
		t.Error(err)
	}
	if got, want := document.Paths.Len(), strictContract(t).document.Paths.Len(); got != want {
		t.Errorf("%d paths, want %d", got, want)
	}
}

// A service below a path leads nowhere else: every address in what it sends is
// below the path, and answers there, whether or not a proxy takes the path off.
func TestBelowAPath(t *testing.T) {
	t.Parallel()
	const base = "/shop/boards"
	service := configured(t, api.Config{PublicURL: "https://shop.example" + base + "/"})
	seen, queue := map[string]bool{}, []string{base + "/", base + "/identify", base + "/docs", base + "/fits?brand=Wexcombe&model=DW+410&plug=6+2+2", base + "/?q=Wexcombe"}
	for len(queue) > 0 && len(seen) < 60 {
		target := queue[0]
		queue = queue[1:]
		if seen[target] {
			continue
		}
		seen[target] = true
		got := get(t, service, target)
		if to := got.Header().Get("Location"); got.Code == http.StatusSeeOther && strings.HasPrefix(target, base+"/language") {
			if !strings.HasPrefix(to, base+"/") {
				t.Errorf("%s leads to %s", target, to)
			}
			continue
		}
		if got.Code != http.StatusOK {
			t.Errorf("%s: status %d", target, got.Code)
		}
		if stripped := get(t, service, strings.TrimPrefix(target, base)); stripped.Code != got.Code {
			t.Errorf("%s with the path taken off: status %d", target, stripped.Code)
		}
		if !strings.HasPrefix(got.Header().Get("Content-Type"), "text/html") {
			continue
		}
		for _, a := range rootedIn(got.Body.String()) {
			switch {
			case !strings.HasPrefix(a.Val, base+"/"):
				t.Errorf("%s leads to %s by %s", target, a.Val, a.Key)
			case a.Key == "href" || a.Key == "src": // a form's action takes what the form adds
				queue = append(queue, a.Val)
			}
		}
	}
	if len(seen) < 12 {
		t.Errorf("only %d addresses were found", len(seen))
	}
	if got := get(t, service, base); got.Code != http.StatusPermanentRedirect || got.Header().Get("Location") != base+"/" {
		t.Errorf("%s: status %d to %q", base, got.Code, got.Header().Get("Location"))
	}
	if link := get(t, service, base+"/v1/families?limit=1").Header().Get("Link"); !strings.HasPrefix(link, "<"+base+"/v1/families?") {
		t.Errorf("Link is %s", link)
	}
	for _, name := range []string{"/openapi.json", "/openapi.yaml"} {
		document, err := openapi3.NewLoader().LoadFromData(get(t, service, base+name).Body.Bytes())
		if err != nil || len(document.Servers) != 1 || document.Servers[0].URL != base {
			t.Errorf("%s: %v, servers %+v", name, err, document)
		}
	}
	if _, err := api.New(api.Config{Catalogue: newCatalogue(), PublicURL: `https://shop.example/a"b`}); err == nil {
		t.Error(`a path that cannot stand in a link is taken`)
	}
}

// rootedIn are the attributes of a page whose values are addresses that begin at the
// root.
func rootedIn(page string) (found []html.Attribute) {
	for tokens := html.NewTokenizer(strings.NewReader(page)); ; {
		switch tokens.Next() {
		case html.ErrorToken:
			return found
		case html.StartTagToken, html.SelfClosingTagToken:
			for _, a := range tokens.Token().Attr {
				if strings.HasPrefix(a.Val, "/") && a.Key != "value" {
					found = append(found, a)
				}
			}
		}
	}
}
