package api_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3filter"

	"standin/api"
)

// What is printed is bytes to the validator of responses.
func init() { openapi3filter.RegisterBodyDecoder("application/pdf", openapi3filter.FileBodyDecoder) }

// chosen is a board in a machine whose build is settled.
const chosen = "brand=Wexcombe&model=DW+410&plug=6+2+2&part_number=70-1002&revision=A"

func TestPrinted(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for _, path := range []string{"/v1/sheets.pdf", "/v1/labels.pdf"} {
		first := get(t, handler, path+"?"+chosen)
		if first.Code != http.StatusOK || first.Header().Get("Content-Type") != "application/pdf" || !strings.HasPrefix(first.Body.String(), "%PDF-") {
			t.Errorf("%s: status %d, %s, %.20q", path, first.Code, first.Header().Get("Content-Type"), first.Body)
		}
		if again := get(t, handler, path+"?"+chosen); again.Body.String() != first.Body.String() {
			t.Errorf("%s: the same job is printed in other bytes", path)
		}
		tag := first.Header().Get("ETag")
		held := call{target: path + "?" + chosen, header: []string{"If-None-Match", tag}}.do(t, handler)
		if tag == "" || held.Code != http.StatusNotModified {
			t.Errorf("%s: ETag %q, then status %d", path, tag, held.Code)
		}
	}
}

// There is nothing to print for a board that does not fit, or that may not.
func TestPrintedRefused(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for name, test := range map[string]struct {
		query  string
		status int
		kind   string
		says   string
	}{
		"depends": {"brand=Wexcombe&model=DW+410&part_number=70-1002", http.StatusConflict, "/problems/unsettled", "Is there a plug with 10 ways on the harness?"},
		"does not fit": {"brand=Wexcombe&model=DW+410&plug=10&part_number=70-1002", http.StatusConflict, "/problems/does-not-fit",
			"board 70-1002 revision A does not fit Wexcombe DW 410: "},
		"contradiction":     {"brand=Wexcombe&model=DW+410&plug=99&part_number=70-1002", http.StatusConflict, "/problems/unsettled", "contradicts itself"},
		"not looked at":     {"brand=Wexcombe&model=DW+410&part_number=70/2001+B", http.StatusNotFound, "/problems/not-found", "70/2001 B"},
		"no such revision":  {chosen + "X", http.StatusNotFound, "/problems/not-found", "has no revision AX; recorded for it: A"},
		"unknown model":     {"brand=Wexcombe&model=DW+41&part_number=70-1002", http.StatusNotFound, "/problems/unknown-model", "DW 41"},
		"no board":          {"brand=Wexcombe&model=DW+410", http.StatusBadRequest, "/problems/bad-request", "part_number is missing"},
		"a bad plug":        {"brand=Wexcombe&model=DW+410&plug=six&part_number=70-1002", http.StatusBadRequest, "/problems/bad-request", "six"},
		"unknown parameter": {chosen + "&serail=5", http.StatusBadRequest, "/problems/unknown-parameter", "serail"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for _, path := range []string{"/v1/sheets.pdf", "/v1/labels.pdf"} {
				got := get(t, handler, path+"?"+test.query)
				if body := got.Body.String(); got.Code != test.status || !strings.Contains(body, `"`+test.kind+`"`) || !strings.Contains(body, test.says) {
					t.Errorf("%s: status %d: %s", path, got.Code, body)
				}
			}
		})
	}
}

// An address for what is printed is one of a service, or none.
func TestPublicURL(t *testing.T) {
	t.Parallel()
	for url, right := range map[string]bool{
		"": true, "https://boards.example": true, "http://192.0.2.7:8470/": true, "boards.example": false, "ftp://boards.example": false,
		"https://": false, "https://boards.example?x=1": false, "://": false,
	} {
		_, err := api.New(api.Config{Catalogue: newCatalogue(), PublicURL: url})
		if (err == nil) != right {
			t.Errorf("%q: %v", url, err)
		}
	}
}

// What is printed leads to the service, whatever a client calls it: to the address
// that was set, else to the one at which the connection came in.
func TestPrintedLeadsToTheService(t *testing.T) {
	t.Parallel()
	sheet := func(handler http.Handler, host string) *response {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/v1/sheets.pdf?"+chosen, nil)
		r.Host = host
		recorded := httptest.NewRecorder()
		handler.ServeHTTP(recorded, r)
		return &response{recorded}
	}
	at := func(public string) http.Handler {
		handler, err := api.New(api.Config{Catalogue: newCatalogue(), PublicURL: public})
		if err != nil {
			t.Fatal(err)
		}
		return handler
	}
	unset := at("")
	first, second := sheet(unset, "boards.example"), sheet(unset, "elsewhere.example")
	if first.Body.String() != second.Body.String() || first.Header().Get("ETag") != second.Header().Get("ETag") {
		t.Error("the sheet follows the Host header")
	}
	running := httptest.NewServer(unset)
	t.Cleanup(running.Close)
	answer, err := http.Get(running.URL + "/v1/sheets.pdf?" + chosen)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	got, _ := io.ReadAll(answer.Body)
	set := sheet(at(running.URL), "boards.example")
	if string(got) != set.Body.String() {
		t.Error("the sheet does not lead to the address at which the connection came in")
	}
	if other := sheet(at("https://boards.example"), "boards.example"); other.Header().Get("ETag") == set.Header().Get("ETag") {
		t.Errorf("sheets that lead to two addresses have the one ETag %s", other.Header().Get("ETag"))
	}
}
