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
