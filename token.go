package standin

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Scope is what a token lets its bearer do.
type Scope string

// The scopes. Reading is open or needs a token, as the service is set up;
// writing always needs one.
const (
	ScopeNone      Scope = "none"      // nothing to be let do: open to all
	ScopeRead      Scope = "read"      // ask every question
	ScopeStock     Scope = "stock"     // change stock and holds
	ScopeFittings  Scope = "fittings"  // record fittings
	ScopeCatalogue Scope = "catalogue" // import bundles and undo them
	ScopeAdmin     Scope = "admin"     // everything
)

// Scopes are those a token can have, in the order they are shown.
var Scopes = []Scope{ScopeRead, ScopeStock, ScopeFittings, ScopeCatalogue, ScopeAdmin}

// The codes of errors about who may.
const (
	CodeUnauthorized Code = "unauthorized" // no token, or one that does not count
	CodeForbidden    Code = "forbidden"    // the token does not let its bearer do this
)

// Token says who may do what. The secret that its bearer shows is not in it.
type Token struct {
	ID       int64
	Name     string
	Scopes   []Scope
	Location string // the only one whose stock it may change; empty: any
	Created  time.Time
	Expires  time.Time // zero: never
	Revoked  time.Time // zero: it was not
	LastUsed time.Time // to the minute; zero: never
}

// Allows reports whether the bearer may do what needs a scope. Whoever may write
// may read, and an admin may do everything.
func (t *Token) Allows(need Scope) bool {
	return need == ScopeNone || need == ScopeRead || slices.Contains(t.Scopes, need) || slices.Contains(t.Scopes, ScopeAdmin)
}

// AllowsAt reports whether the bearer may change the stock of a location.
func (t *Token) AllowsAt(location string) bool { return t.Location == "" || t.Location == location }

// NewToken is what a token is made of. An expiry of zero is none.
type NewToken struct {
	Name     string
	Scopes   []Scope
	Location string
	Expires  time.Time
}

// Tokens is where tokens are kept. Its methods are safe for concurrent use.
// Every error is an *Error; CodeUnavailable where the database is away.
type Tokens interface {
	// AddToken makes a token and returns with it the text that its bearer shows,
	// which is kept nowhere. CodeConflict where a token of the name is in use,
	// CodeBadRequest where it has no name, no scope, one that there is not, or
	// would have expired already.
	AddToken(ctx context.Context, wanted NewToken) (text string, made Token, err error)

	// ListTokens are the tokens, those in use first, by name.
	ListTokens(ctx context.Context) ([]Token, error)

	// RevokeToken ends the token in use of that name, at once. CodeNotFound where
	// there is none.
	RevokeToken(ctx context.Context, name string) (Token, error)

	// TokenOf is the token whose bearer shows a text, and notes that it was used.
	// CodeUnauthorized where there is none, it was revoked or has expired: the
	// three cannot be told apart.
	TokenOf(ctx context.Context, text string) (Token, error)
}

// ParseScopes reads scopes as "read,stock".
func ParseScopes(text string) ([]Scope, error) {
	var scopes []Scope
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' }) {
		if !slices.Contains(Scopes, Scope(word)) {
			return nil, fmt.Errorf("there is no scope %q; there are %s", word, joinScopes(Scopes))
		}
		if !slices.Contains(scopes, Scope(word)) {
			scopes = append(scopes, Scope(word))
		}
	}
	if len(scopes) == 0 {
		return nil, fmt.Errorf("a token needs a scope; there are %s", joinScopes(Scopes))
	}
	return scopes, nil
}

func joinScopes(scopes []Scope) string {
	words := make([]string, len(scopes))
	for i, s := range scopes {
		words[i] = string(s)
	}
	return strings.Join(words, ", ")
}

// A token as its bearer shows it: what it is, its id, its secret. The words in
// front let those who search texts for secrets find one that was left there.
const tokenPrefix = "standin_"

// TokenText is the text that the bearer of a token shows.
func TokenText(id int64, secret string) string {
	return tokenPrefix + strconv.FormatInt(id, 10) + "_" + secret
}

// SplitToken takes a shown text apart. It reports whether it has the form of a token.
func SplitToken(text string) (id int64, secret string, ok bool) {
	rest, ok := strings.CutPrefix(text, tokenPrefix)
	number, secret, found := strings.Cut(rest, "_")
	id, err := strconv.ParseInt(number, 10, 64)
	return id, secret, ok && found && err == nil && id > 0 && secret != "" && len(secret) <= 200
}

// HashSecret is what is kept of a secret. It is one of 256 random bits, so that
// there is nothing to guess and no slow hash is needed.
func HashSecret(secret string) []byte {
	sum := sha256.Sum256([]byte(secret))
	return sum[:]
}

// SameSecret compares a kept hash with a secret that is shown, in a time that
// does not depend on how much of it is right.
func SameSecret(hash []byte, secret string) bool {
	return subtle.ConstantTimeCompare(hash, HashSecret(secret)) == 1
}
