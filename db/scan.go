package db

import (
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// Columns that may be NULL become a Maybe. The statements select days as numbers of
// days since 1970-01-01, which is what a standin.Date is.

func maybeInt(v pgtype.Int4) standin.Maybe[int] {
	return standin.Maybe[int]{V: int(v.Int32), Known: v.Valid}
}

func maybeFloat(v pgtype.Float8) standin.Maybe[float64] {
	return standin.Maybe[float64]{V: v.Float64, Known: v.Valid}
}

func maybeText(v pgtype.Text) standin.Maybe[string] {
	return standin.Maybe[string]{V: v.String, Known: v.Valid}
}

func maybeDate(v pgtype.Int4) standin.Maybe[standin.Date] {
	return standin.Maybe[standin.Date]{V: standin.Date(v.Int32), Known: v.Valid}
}

func span(from, to pgtype.Int4) standin.Span {
	return standin.Span{From: maybeDate(from), To: maybeDate(to)}
}

// maybeList keeps apart NULL, not recorded, and an empty array, none.
func maybeList[T any](v []T) standin.Maybe[[]T] {
	return standin.Maybe[[]T]{V: v, Known: v != nil}
}
