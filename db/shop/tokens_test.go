package shop_test

import (
	"encoding/hex"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"standin"
)

func TestTokens(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	expires := time.Now().Add(time.Hour).UTC().Truncate(time.Microsecond)
	text, made, err := store.AddToken(t.Context(), standin.NewToken{
		Name: "till", Scopes: []standin.Scope{"stock", "fittings"}, Location: "front", Expires: expires,
	})
	if err != nil {
		t.Fatal(err)
	}
	got, err := store.TokenOf(t.Context(), text)
	if diff := cmp.Diff(made, got); diff != "" || err != nil {
		t.Errorf("%v (-made +got):\n%s", err, diff)
	}
	if got.Name != "till" || got.Location != "front" || !got.Expires.Equal(expires) || !cmp.Equal(got.Scopes, []standin.Scope{"stock", "fittings"}) {
		t.Errorf("it is %+v", got)
	}
	// 256 bits in base32, RFC 4648: 52 characters.
	_, secret, _ := standin.SplitToken(text)
	if len(secret) != 52 {
		t.Errorf("the secret has %d characters", len(secret))
	}
	stored := value[string](t, database, `SELECT tokens::text FROM tokens`)
	if strings.Contains(stored, secret) || !strings.Contains(stored, hex.EncodeToString(standin.HashSecret(secret))) {
		t.Errorf("stored is %s", stored)
	}
	other, _, err := store.AddToken(t.Context(), standin.NewToken{Name: "other", Scopes: []standin.Scope{"read"}})
	if err != nil || strings.HasSuffix(other, secret) {
		t.Errorf("two secrets are the same: %v", err)
	}
	// The id of one with the secret of another is neither.
	if _, err := store.TokenOf(t.Context(), standin.TokenText(made.ID+1, secret)); standin.CodeOf(err) != standin.CodeUnauthorized {
		t.Errorf("a secret under another id: %v", err)
	}
	if _, err := store.RevokeToken(t.Context(), "till"); err != nil {
		t.Fatal(err)
	}
	if _, err := store.TokenOf(t.Context(), text); standin.CodeOf(err) != standin.CodeUnauthorized {
		t.Errorf("a revoked token: %v", err)
	}
	if _, err := store.RevokeToken(t.Context(), "till"); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("revoked again: %v", err)
	}
	all, err := store.ListTokens(t.Context())
	if err != nil || len(all) != 2 || all[0].Name != "other" || all[1].Revoked.IsZero() {
		t.Errorf("listed: %+v, %v", all, err)
	}
	if _, _, err := store.AddToken(t.Context(), standin.NewToken{Name: "till", Scopes: []standin.Scope{"read"}}); err != nil {
		t.Errorf("the name of a revoked token, again: %v", err)
	}
}

func TestTokenRefused(t *testing.T) {
	t.Parallel()
	store, _ := open(t)
	add := func(name string, expires time.Time, scopes ...standin.Scope) error {
		_, _, err := store.AddToken(t.Context(), standin.NewToken{Name: name, Scopes: scopes, Expires: expires})
		return err
	}
	if err := add("till", time.Time{}, "read"); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		err  error
		want standin.Code
	}{
		"a name in use":    {add("till", time.Time{}, "read"), standin.CodeConflict},
		"no name":          {add("", time.Time{}, "read"), standin.CodeBadRequest},
		"no scope":         {add("x", time.Time{}), standin.CodeBadRequest},
		"an unknown scope": {add("x", time.Time{}, "write"), standin.CodeBadRequest},
		"an end gone by":   {add("x", time.Now().Add(-time.Second), "read"), standin.CodeBadRequest},
	} {
		if standin.CodeOf(c.err) != c.want {
			t.Errorf("%s: %v, want %s", name, c.err, c.want)
		}
	}
}

func TestTokenExpires(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	text, _, err := store.AddToken(t.Context(), standin.NewToken{Name: "till", Scopes: []standin.Scope{"read"}, Expires: time.Now().Add(time.Hour)})
	if err != nil {
		t.Fatal(err)
	}
	for expires, want := range map[string]standin.Code{"1 minute": "", "-1 microsecond": standin.CodeUnauthorized} {
		exec(t, database, `UPDATE tokens SET expires = now() + $1::interval`, expires)
		if _, err := store.TokenOf(t.Context(), text); standin.CodeOf(err) != want {
			t.Errorf("expires in %s: %v", expires, err)
		}
	}
}

// However often it is used, that is written once a minute.
func TestTokenUse(t *testing.T) {
	t.Parallel()
	store, database := open(t)
	text, made, err := store.AddToken(t.Context(), standin.NewToken{Name: "till", Scopes: []standin.Scope{"read"}})
	if err != nil {
		t.Fatal(err)
	}
	if !made.LastUsed.IsZero() {
		t.Errorf("used before it was: %v", made.LastUsed)
	}
	use := func() string {
		for range 5 {
			if _, err := store.TokenOf(t.Context(), text); err != nil {
				t.Fatal(err)
			}
		}
		return value[string](t, database, `SELECT xmin::text FROM tokens`)
	}
	first := use()
	if value[bool](t, database, `SELECT last_used IS NULL FROM tokens`) {
		t.Error("its use is not noted")
	}
	if use() != first {
		t.Error("its use was written again within the minute")
	}
	exec(t, database, `UPDATE tokens SET last_used = now() - interval '61 seconds'`)
	if before := value[string](t, database, `SELECT xmin::text FROM tokens`); use() == before {
		t.Error("its use was not written after a minute")
	}
}
