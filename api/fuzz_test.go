package api_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// Whatever is asked, the answer keeps the contract and is never a fault.
func FuzzRequests(f *testing.F) {
	for _, c := range refused {
		if len(c.target)+len(c.body) < 1000 {
			f.Add(c.target, c.body)
		}
	}
	for _, c := range cases {
		f.Add(c.target, c.body)
	}
	f.Add("/v1/fits", oneMachine)
	handler, contract := unchecked(f, newCatalogue()), strictContract(f)
	f.Fuzz(func(t *testing.T, target, body string) {
		method := http.MethodGet
		if body != "" {
			method = http.MethodPost
		}
		path, query, _ := strings.Cut(target, "?")
		r := httptest.NewRequest(method, "/", strings.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		r.URL.Path, r.URL.RawQuery = "/"+strings.TrimLeft(path, "/"), query
		recorded := httptest.NewRecorder()
		handler.ServeHTTP(recorded, r)
		if recorded.Code >= http.StatusInternalServerError {
			t.Errorf("status %d: %s", recorded.Code, recorded.Body)
		}
		if err := contract.violation(r, recorded); err != nil {
			t.Error(err)
		}
	})
}
