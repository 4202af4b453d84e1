package api_test

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// The check that every other test leans on must be able to fail.
func TestStrictContractRefuses(t *testing.T) {
	t.Parallel()
	contract := strictContract(t)
	for name, c := range map[string]struct {
		status      int
		contentType string
		body        string
		ok          bool
	}{
		"what is declared":        {200, "application/json", `{"status":"ok","version":"1"}`, true},
		"an undeclared field":     {200, "application/json", `{"status":"ok","version":"1","more":1}`, false},
		"a field left out":        {200, "application/json", `{"status":"ok"}`, false},
		"null for text":           {200, "application/json", `{"status":"ok","version":null}`, false},
		"a word it does not have": {200, "application/json", `{"status":"fine","version":"1"}`, false},
		"another content type":    {200, "text/plain", `ok`, false},
		"a problem":               {503, "application/problem+json", `{"type":"/problems/unavailable","title":"","status":503,"detail":""}`, true},
		"a problem not named":     {503, "application/problem+json", `{"type":"/problems/busy","title":"","status":503,"detail":""}`, false},
		"a problem of its own":    {503, "application/problem+json", `{"type":"about:blank","title":"","status":503,"detail":""}`, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			recorded := httptest.NewRecorder()
			recorded.Header().Set("Content-Type", c.contentType)
			recorded.WriteHeader(c.status)
			_, _ = recorded.WriteString(c.body)
			err := contract.violation(httptest.NewRequest(http.MethodGet, "/healthz", nil), recorded)
			if (err == nil) != c.ok {
				t.Errorf("the verdict is %v", err)
			}
		})
	}
}

// Every call of the contract is there: none answers as an address that is not.
func TestEveryCallIsRouted(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for path, item := range strictContract(t).document.Paths.Map() {
		for method := range item.Operations() {
			got := call{method: method, target: path}.do(t, handler)
			if got.Code == http.StatusMethodNotAllowed || got.at("detail") == `"There is nothing at this address; /docs shows those there are."` {
				t.Errorf("%s %s: status %d", method, path, got.Code)
			}
		}
	}
}
