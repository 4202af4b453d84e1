package shop

import (
	"context"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"fmt"
	"standin/db/internal/pg"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
	"standin/db"
)

const tokenColumns = `id, name, scopes, location, created, expires, revoked, last_used`

const (
	addTokenSQL = `INSERT INTO tokens (name, hash, scopes, location, expires) VALUES ($1, $2, $3, $4, $5)
		RETURNING ` + tokenColumns
	listTokensSQL  = `SELECT ` + tokenColumns + ` FROM tokens ORDER BY revoked IS NOT NULL, name, id`
	revokeTokenSQL = `UPDATE tokens SET revoked = now() WHERE name = $1 AND revoked IS NULL RETURNING ` + tokenColumns
	tokenSQL       = `SELECT ` + tokenColumns + `, hash, revoked IS NULL AND coalesce(expires > now(), true) AS counts,
			coalesce(last_used < now() - interval '1 minute', true) AS stale
		FROM tokens WHERE id = $1`
	// The condition is repeated because several may get here at once.
	tokenUsedSQL = `UPDATE tokens SET last_used = now()
		WHERE id = $1 AND coalesce(last_used < now() - interval '1 minute', true)`
)

// noteTime is the longest that a call waits for its token's use to be noted.
const noteTime = time.Second

// secretBits is the length of a token's secret in bits.
const secretBits = 256

const uniqueViolation = "23505"

// AddToken creates a token and returns its text, of which only a hash is stored. A
// name that is in use is an error (CodeConflict).
func (s *Store) AddToken(ctx context.Context, wanted standin.NewToken) (string, standin.Token, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	if err := checkToken(wanted); err != nil {
		return "", standin.Token{}, err
	}
	random := make([]byte, secretBits/8)
	_, _ = rand.Read(random) // never fails
	secret := strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(random))
	rows, err := s.pool.Query(ctx, addTokenSQL, wanted.Name, standin.HashSecret(secret), wanted.Scopes, wanted.Location, maybeTime(wanted.Expires))
	if err != nil {
		return "", standin.Token{}, pg.Translate(err)
	}
	made, err := pgx.CollectExactlyOneRow(rows, scanToken)
	if pgErr, ok := errors.AsType[*pgconn.PgError](err); ok && pgErr.Code == uniqueViolation {
		return "", made, refuse(standin.CodeConflict, "name", fmt.Sprintf("there is a token %q; revoke it first, or choose another name", wanted.Name))
	}
	if err != nil {
		return "", made, pg.Translate(err)
	}
	return standin.TokenText(made.ID, secret), made, nil
}

func checkToken(t standin.NewToken) error {
	switch {
	case t.Name == "":
		return refuse(standin.CodeBadRequest, "name", "a token needs a name, of the program or person that will have it")
	case !t.Expires.IsZero() && t.Expires.Before(time.Now()):
		return refuse(standin.CodeBadRequest, "expires", "the token would have expired already; choose a time to come")
	}
	var words []string
	for _, scope := range t.Scopes {
		words = append(words, string(scope))
	}
	if _, err := standin.ParseScopes(strings.Join(words, ",")); err != nil {
		return refuse(standin.CodeBadRequest, "scope", err.Error())
	}
	return nil
}

// ListTokens returns the tokens, those in use first, by name.
func (s *Store) ListTokens(ctx context.Context) ([]standin.Token, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	rows, err := s.pool.Query(ctx, listTokensSQL)
	if err != nil {
		return nil, pg.Translate(err)
	}
	tokens, err := pgx.CollectRows(rows, scanToken)
	return tokens, pg.Translate(err)
}

// RevokeToken revokes the token of that name. Where none is in use it is an error
// (CodeNotFound).
func (s *Store) RevokeToken(ctx context.Context, name string) (standin.Token, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	rows, err := s.pool.Query(ctx, revokeTokenSQL, name)
	if err != nil {
		return standin.Token{}, pg.Translate(err)
	}
	revoked, err := pgx.CollectExactlyOneRow(rows, scanToken)
	if pg.IsNoRows(err) {
		return revoked, refuse(standin.CodeNotFound, "name", fmt.Sprintf("there is no token %q in use", name))
	}
	return revoked, pg.Translate(err)
}

// TokenOf returns the token of a text. It is looked up by its id, so that only the
// secret, compared in constant time, decides. A text that is not that of a token in
// use is an error (CodeUnauthorized).
func (s *Store) TokenOf(ctx context.Context, text string) (standin.Token, error) {
	ctx, cancel := within(ctx)
	defer cancel()
	unknown := refuse(standin.CodeUnauthorized, "", "the token is not known, was revoked or has expired")
	id, secret, ok := standin.SplitToken(text)
	if !ok {
		return standin.Token{}, unknown
	}
	var hash []byte
	var counts, stale bool
	found, err := db.Rows(ctx, s.db, func(row pgx.CollectableRow) (standin.Token, error) {
		return readToken(row, &hash, &counts, &stale)
	}, tokenSQL, id)
	if err != nil {
		return standin.Token{}, err
	}
	if len(found) == 0 {
		return standin.Token{}, unknown
	}
	t := found[0]
	switch {
	case !standin.SameSecret(hash, secret), !counts:
		return standin.Token{}, unknown
	}
	if stale {
		// The error is deliberately ignored: a standby takes no writes, and whoever
		// may do something may do it whether or not that is noted.
		noting, cancel := context.WithTimeout(ctx, noteTime)
		defer cancel()
		_, _ = s.pool.Exec(noting, tokenUsedSQL, id)
	}
	return t, nil
}

func scanToken(row pgx.CollectableRow) (standin.Token, error) { return readToken(row) }

// readToken reads tokenColumns, and what is read after them.
func readToken(row pgx.CollectableRow, more ...any) (t standin.Token, err error) {
	var expires, revoked, used pgtype.Timestamptz
	var scopes []string
	err = row.Scan(append([]any{&t.ID, &t.Name, &scopes, &t.Location, &t.Created, &expires, &revoked, &used}, more...)...)
	for _, scope := range scopes {
		t.Scopes = append(t.Scopes, standin.Scope(scope))
	}
	t.Created = t.Created.UTC()
	t.Expires, t.Revoked, t.LastUsed = timeOf(expires), timeOf(revoked), timeOf(used)
	return t, err
}

// timeOf returns a time in UTC, the zero time for NULL.
func timeOf(t pgtype.Timestamptz) time.Time {
	if !t.Valid {
		return time.Time{}
	}
	return t.Time.UTC()
}

// maybeTime returns a time for a column, NULL for the zero time.
func maybeTime(t time.Time) pgtype.Timestamptz {
	return pgtype.Timestamptz{Time: t, Valid: !t.IsZero()}
}
