package pg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"

	"standin"
)

func TestTranslate(t *testing.T) {
	t.Parallel()
	server := func(code string) error { return fmt.Errorf("at it: %w", &pgconn.PgError{Code: code}) }
	// SQLSTATEs: PostgreSQL documentation, appendix A.
	tests := []struct {
		name string
		err  error
		want standin.Code
	}{
		{"connection failure", server("08006"), standin.CodeUnavailable},
		{"admin shutdown", server("57P01"), standin.CodeUnavailable},
		{"cannot connect now", server("57P03"), standin.CodeUnavailable},
		{"too many connections", server("53300"), standin.CodeUnavailable},
		{"invalid password", server("28P01"), standin.CodeUnavailable},
		{"no such database", server("3D000"), standin.CodeUnavailable},
		{"read-only transaction", server("25006"), standin.CodeUnavailable},
		{"statement timeout", server("57014"), standin.CodeUnavailable},
		{"disk full", server("53100"), standin.CodeNoSpace},
		{"no rights", server("42501"), standin.CodeSchema},
		{"undefined table", server("42P01"), standin.CodeSchema},
		{"undefined column", server("42703"), standin.CodeSchema},
		{"serialization failure", server("40001"), standin.CodeConflict},
		{"deadlock", server("40P01"), standin.CodeConflict},
		{"lock not available", server("55P03"), standin.CodeConflict},
		{"check violation", server("23514"), standin.CodeRejected},
		{"number out of range", server("22003"), standin.CodeRejected},
		{"internal error", server("XX000"), standin.CodeUnavailable},
		{"connection lost", io.ErrUnexpectedEOF, standin.CodeUnavailable},
		{"out of time", context.DeadlineExceeded, standin.CodeUnavailable},
		{"given up", context.Canceled, standin.CodeUnavailable},
		{"one of ours", &standin.Error{Code: standin.CodeNotFound}, standin.CodeNotFound},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got := Translate(tt.err)
			if standin.CodeOf(got) != tt.want || !errors.Is(got, tt.err) {
				t.Errorf("%v has code %q, want %q with its cause", got, standin.CodeOf(got), tt.want)
			}
		})
	}
	if err := Translate(nil); err != nil {
		t.Errorf("nil becomes %v", err)
	}
}

// The sentence is the same whether the error was translated or not.
func TestExplain(t *testing.T) {
	t.Parallel()
	// SQLSTATEs: PostgreSQL documentation, appendix A.
	for state, want := range map[string]string{
		"28P01": "the database does not let this user in; check user and password in the database URL",
		"3D000": "the server has no database of the name in the database URL; create it, or check the URL",
		"42501": "the database user may not do this; it must own the database's schema",
		"53300": "the database has run out of connections or memory; try again",
		"57P03": "the database is starting up or shutting down; try again",
		"XX000": "the database refused it (SQLSTATE XX000); its log says why",
	} {
		err := fmt.Errorf("at it: %w", &pgconn.PgError{Code: state})
		got, ok := Explain(err)
		translated, _ := errors.AsType[*standin.Error](Translate(err))
		if !ok || got != want || translated.Message != want {
			t.Errorf("%s: %q, %t and translated %q; want %q", state, got, ok, translated.Message, want)
		}
		if IsStarting(err) != (state == "57P03") {
			t.Errorf("%s: IsStarting is %t", state, IsStarting(err))
		}
	}
	if got, ok := Explain(io.EOF); ok {
		t.Errorf("an error that is none of the server's is explained: %q", got)
	}
}
