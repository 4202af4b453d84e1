package pg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"syscall"
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
		"53100": "the disk of the database is full; nothing was changed",
		"57P01": "the database ended this connection, because an administrator ended it or because it shuts down; try again",
		"57P02": "the database ended all connections, because one of its processes crashed; try again, and see its log",
		"57P04": "the database of the name in the database URL was dropped while it was in use",
		"57P05": "the database ended this connection, because it was idle for too long; try again",
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

// Whether a server was never reached or was lost is told apart, and a full disk is
// neither, whatever came after it.
func TestLostIsNotUnreached(t *testing.T) {
	t.Parallel()
	const lost = "the connection to the database broke off; try again, and see the database's log where it happens again: a full disk is one reason"
	const away = "the database cannot be reached"
	_, never := pgconn.Connect(t.Context(), "host=/nowhere dbname=x connect_timeout=2")
	full := &pgconn.PgError{Code: "53100", Severity: "PANIC"}
	for name, tt := range map[string]struct {
		err  error
		want string
	}{
		"refused":                {never, away},
		"ended in the middle":    {fmt.Errorf("at it: %w", io.ErrUnexpectedEOF), lost},
		"closed":                 {&net.OpError{Op: "write", Err: net.ErrClosed}, lost},
		"reset":                  {&net.OpError{Op: "read", Err: syscall.ECONNRESET}, lost},
		"a full disk, then lost": {errors.Join(io.ErrUnexpectedEOF, full), "the disk of the database is full; nothing was changed"},
		"something else":         {errors.New("no idea"), away},
	} {
		translated, _ := errors.AsType[*standin.Error](Translate(tt.err))
		if translated.Message != tt.want {
			t.Errorf("%s: %v becomes %q, want %q", name, tt.err, translated.Message, tt.want)
		}
		if IsDiskFull(tt.err) != strings.Contains(name, "full disk") {
			t.Errorf("%s: IsDiskFull is %t", name, IsDiskFull(tt.err))
		}
	}
}
