// Package shop keeps in PostgreSQL what happens in a workshop: who may do what,
// what goes in and out of stock, what is on hold, what was fitted.
package shop

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"standin"
	"standin/db"
)

// callTime is how long one call may take.
const callTime = 30 * time.Second

// Store is the shop in a database. It is safe for concurrent use.
type Store struct {
	db   *db.DB
	pool *pgxpool.Pool
	ear  *ear
}

var (
	_ standin.Tokens = (*Store)(nil)
	_ standin.Shop   = (*Store)(nil)
)

// NewStore returns the shop in a database, whose connections it shares.
func NewStore(opened *db.DB) *Store { return &Store{opened, opened.Pool(), &ear{pool: opened.Pool()}} }

// refuse returns an error for people.
func refuse(code standin.Code, field, message string) error {
	return &standin.Error{Code: code, Field: field, Message: message}
}

// fieldOf returns the field that an error is about.
func fieldOf(err error) string {
	if e, ok := errors.AsType[*standin.Error](err); ok {
		return e.Field
	}
	return ""
}

// within bounds a call in time.
func within(ctx context.Context) (context.Context, context.CancelFunc) {
	return context.WithTimeout(ctx, callTime)
}
