package api_test

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"standin"
	"standin/api"
	"standin/db/shop"
)

// tokens are those in memory: a text for each.
type tokens map[string]standin.Token

// newTokens has a token of each scope, shown as its name.
func newTokens() tokens {
	all := tokens{}
	for i, scope := range standin.Scopes {
		all[string(scope)] = standin.Token{ID: int64(i + 1), Name: "the " + string(scope) + " token", Scopes: []standin.Scope{scope}}
	}
	return all
}

func (t tokens) TokenOf(_ context.Context, text string) (standin.Token, error) {
	token, ok := t[text]
	if !ok {
		return token, &standin.Error{Code: standin.CodeUnauthorized, Message: "the token is not known, was revoked or has expired"}
	}
	return token, nil
}

func (t tokens) AddToken(context.Context, standin.NewToken) (string, standin.Token, error) {
	panic("not asked of HTTP")
}
func (t tokens) ListTokens(context.Context) ([]standin.Token, error) { panic("not asked of HTTP") }
func (t tokens) RevokeToken(context.Context, string) (standin.Token, error) {
	panic("not asked of HTTP")
}

// shown are the tokens that a request may show, and which of them count.
type shown struct {
	name, text string
	scopes     []standin.Scope // nil: it does not count
}

// shownTo are a token of each scope and those that do not count, in a store.
func shownTo(t *testing.T, store *shop.Store, expire func(name string)) []shown {
	t.Helper()
	add := func(name string, scopes ...standin.Scope) string {
		text, _, err := store.AddToken(t.Context(), standin.NewToken{Name: name, Scopes: scopes, Expires: time.Now().Add(time.Hour)})
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	var all []shown
	for _, scope := range standin.Scopes {
		all = append(all, shown{string(scope), add("has "+string(scope), scope), []standin.Scope{scope}})
	}
	revoked, expired := add("revoked", standin.ScopeAdmin), add("expired", standin.ScopeAdmin)
	if _, err := store.RevokeToken(t.Context(), "revoked"); err != nil {
		t.Fatal(err)
	}
	expire("expired")
	admin := all[len(all)-1].text
	return append(all,
		shown{"none", "", nil}, shown{"revoked", revoked, nil}, shown{"expired", expired, nil},
		shown{"wrong secret", admin[:len(admin)-1] + "=", nil}, shown{"unknown id", standin.TokenText(1<<40, "secret"), nil},
		shown{"of another kind", "abc", nil}, shown{"empty", " ", nil},
	)
}

// TestWhoMay makes every call of the contract with every token, where reading is
// open and where it is not.
func TestWhoMay(t *testing.T) {
	t.Parallel()
	database, exec := importedShop(t, "testdata/bundle")
	store := shop.NewStore(database)
	all := shownTo(t, store, func(name string) {
		exec(`UPDATE tokens SET expires = now() WHERE name = $1`, name)
	})
	calls := 0
	for _, guarded := range []bool{false, true} {
		handler, err := api.New(shopConfig(database, guarded))
		if err != nil {
			t.Fatal(err)
		}
		for path, item := range strictContract(t).document.Paths.Map() {
			for method, operation := range item.Operations() {
				calls++
				need := standin.Scope(operation.Extensions["x-scope"].(string))
				if writes := method != http.MethodGet && need != standin.ScopeRead; writes && need == standin.ScopeNone {
					t.Errorf("%s %s changes something and needs no scope", method, path)
				}
				for _, s := range all {
					want := wanted(need, s, guarded)
					c := call{method: method, target: sample(path)}
					if s.text != "" {
						c.header = []string{"Authorization", "Bearer " + s.text}
					}
					got := c.do(t, handler)
					if refusedAs(got.Code) != want {
						t.Errorf("guarded %v, %s %s, token %s: status %d, want refused as %d: %s", guarded, method, path, s.name, got.Code, want, got.Body)
					}
					// RFC 9110, 11.6.1, and RFC 6750, 3.
					if challenge := got.Header().Get("WWW-Authenticate"); strings.HasPrefix(challenge, "Bearer ") != (want != 0) {
						t.Errorf("%s %s, token %s: status %d, WWW-Authenticate %q", method, path, s.name, got.Code, challenge)
					}
				}
			}
		}
	}
	if calls < 20 {
		t.Errorf("only %d calls were found", calls)
	}
}

// wanted is the status that refuses a token, 0 where it is let through: the rule
// once more, in other words.
func wanted(need standin.Scope, s shown, guarded bool) int {
	switch {
	case need == "none":
		return 0
	case s.scopes == nil && s.text == "":
		if need == "read" && !guarded {
			return 0
		}
		return http.StatusUnauthorized
	case s.scopes == nil:
		return http.StatusUnauthorized
	case need == "read" || s.scopes[0] == need || s.scopes[0] == "admin":
		return 0
	}
	return http.StatusForbidden
}

func refusedAs(status int) int {
	if status == http.StatusUnauthorized || status == http.StatusForbidden {
		return status
	}
	return 0
}

// sample is an address of a path of the contract.
func sample(path string) string {
	return strings.NewReplacer("{id}", "1", "{part_number}", "70-1001", "{family}", "Curlew", "{location}", "front").Replace(path)
}

// Pages are read like the calls they stand for.
func TestPagesAreGuarded(t *testing.T) {
	t.Parallel()
	handler, err := api.New(api.Config{Catalogue: newCatalogue(), Tokens: newTokens(), Guarded: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, target := range []string{"/", "/suggest?q=W", "/fits?brand=Wexcombe&model=DW+410", "/board?number=70-1001", "/bench", "/identify"} {
		if got := get(t, handler, target); got.Code != http.StatusUnauthorized {
			t.Errorf("%s without a token: status %d", target, got.Code)
		}
		if got := (call{target: target, header: []string{"Authorization", "bearer read"}}).do(t, handler); got.Code == http.StatusUnauthorized {
			t.Errorf("%s with one: status %d", target, got.Code)
		}
	}
	for _, target := range []string{"/healthz", "/openapi.yaml", "/docs", "/static/standin.css"} {
		if got := get(t, handler, target); got.Code >= 400 {
			t.Errorf("%s: status %d", target, got.Code)
		}
	}
}

// What an Authorization header may say: RFC 9110, 11.1 and 11.4, RFC 6750, 2.1.
func TestAuthorizationHeader(t *testing.T) {
	t.Parallel()
	handler, err := api.New(api.Config{Catalogue: newCatalogue(), Tokens: newTokens()})
	if err != nil {
		t.Fatal(err)
	}
	for header, want := range map[string]int{
		"Bearer read":             200,
		"bearer read":             200,
		"BEARER  read":            200,
		"Basic cmVhZDpyZWFk":      401,
		"Bearer":                  401,
		"read":                    401,
		"Bearer read, Bearer all": 401,
	} {
		if got := (call{target: "/v1/families", header: []string{"Authorization", header}}).do(t, handler); got.Code != want {
			t.Errorf("%q: status %d, want %d", header, got.Code, want)
		}
	}
	r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/v1/families", nil)
	r.Header["Authorization"] = []string{"Bearer read", "Bearer read"}
	w := httptest.NewRecorder()
	if handler.ServeHTTP(w, r); w.Code != http.StatusUnauthorized {
		t.Errorf("two headers: status %d", w.Code)
	}
}

// The log names the token and never shows it, whatever becomes of the request.
func TestNoSecretInTheLog(t *testing.T) {
	t.Parallel()
	var log strings.Builder
	known := newTokens()
	secret := standin.TokenText(7, "vwxyz234567")
	known[secret] = standin.Token{ID: 7, Name: "till", Scopes: []standin.Scope{standin.ScopeRead}}
	handler, err := api.New(api.Config{Catalogue: newCatalogue(), Tokens: known, Log: slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))})
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{secret, secret + "x"} {
		for _, target := range []string{"/v1/families", "/v1/families/none", "/v1/nothing", "/v1/fits?x=1", "/"} {
			got := call{target: target, header: []string{"Authorization", "Bearer " + text}}.do(t, handler)
			if strings.Contains(fmt.Sprint(got.Header())+got.Body.String(), "vwxyz234567") {
				t.Errorf("%s shows the secret in its answer", target)
			}
		}
	}
	if strings.Contains(log.String(), "vwxyz234567") || !strings.Contains(log.String(), "token=till") {
		t.Errorf("the log is:\n%s", log.String())
	}
}
