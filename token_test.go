package standin_test

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestParseScopes(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][]standin.Scope{
		"read":              {standin.ScopeRead},
		"read,stock":        {standin.ScopeRead, standin.ScopeStock},
		" stock, fittings ": {standin.ScopeStock, standin.ScopeFittings},
		"stock,stock":       {standin.ScopeStock},
		"":                  nil,
		",":                 nil,
		"none":              nil, // it is of calls, not of tokens
		"read,write":        nil,
		"READ":              nil,
	} {
		got, err := standin.ParseScopes(text)
		if diff := cmp.Diff(want, got); diff != "" || (err != nil) != (want == nil) {
			t.Errorf("%q: %v (-want +got):\n%s", text, err, diff)
		}
	}
}

func TestTokenAllows(t *testing.T) {
	t.Parallel()
	// Rows: what the token has; columns: what is needed, as in needs.
	needs := []standin.Scope{"none", "read", "stock", "fittings", "catalogue", "admin"}
	for has, want := range map[standin.Scope]string{
		"read":      "yynnnn",
		"stock":     "yyynnn",
		"fittings":  "yynynn",
		"catalogue": "yynnyn",
		"admin":     "yyyyyy",
	} {
		token := standin.Token{Scopes: []standin.Scope{has}}
		for i, need := range needs {
			if got := token.Allows(need); got != (want[i] == 'y') {
				t.Errorf("a token of %s, %s needed: %v", has, need, got)
			}
		}
	}
	if bound := (&standin.Token{Location: "front"}); !bound.AllowsAt("front") || bound.AllowsAt("back") || bound.AllowsAt("") {
		t.Error("a token bound to front: front, back or everywhere is wrong")
	}
}

func TestTokenText(t *testing.T) {
	t.Parallel()
	if id, secret, ok := standin.SplitToken(standin.TokenText(42, "abc_d")); id != 42 || secret != "abc_d" || !ok {
		t.Errorf("there and back: %d, %q, %v", id, secret, ok)
	}
	for _, text := range []string{"", "standin_", "standin_1", "standin_1_", "standin__x", "standin_0_x", "standin_-1_x", "1_x", "standin_99999999999999999999_x",
		"standin_1_" + strings.Repeat("x", 201)} {
		if _, _, ok := standin.SplitToken(text); ok {
			t.Errorf("%.40q is taken for a token", text)
		}
	}
	// FIPS 180-2, appendix B.1: SHA-256 of "abc".
	const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	if got := hex.EncodeToString(standin.HashSecret("abc")); got != abc {
		t.Errorf("the hash of abc is %s", got)
	}
	if hash := sha256.Sum256([]byte("abc")); !standin.SameSecret(hash[:], "abc") || standin.SameSecret(hash[:], "abd") || standin.SameSecret(nil, "") {
		t.Error("a secret is compared wrongly")
	}
}
