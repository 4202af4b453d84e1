// Package pg is what the packages that speak to PostgreSQL share: what its errors
// mean, how long it may take, and how a transaction is given up.
package pg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"standin"
)

// The SQLSTATEs that mean something of their own.
const (
	serializationFailure  = "40001"
	deadlockDetected      = "40P01"
	lockNotAvailable      = "55P03"
	readOnlyTransaction   = "25006"
	diskFull              = "53100"
	queryCanceled         = "57014"
	invalidCatalogName    = "3D000"
	insufficientPrivilege = "42501"
	adminShutdown         = "57P01" // of one backend, or of all
	crashShutdown         = "57P02"
	cannotConnectNow      = "57P03"
	databaseDropped       = "57P04"
	idleSessionTimeout    = "57P05"
)

// The classes of SQLSTATEs, their first two characters.
const (
	classConnection    = "08"
	classData          = "22"
	classIntegrity     = "23"
	classAuthorization = "28"
	classSyntax        = "42" // undefined tables, columns and functions
	classResources     = "53"
	classIntervention  = "57"
)

// Translate is the one place where errors of the driver become an *Error. One
// that is an *Error already stays as it is.
func Translate(err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*standin.Error](err); ok {
		return err
	}
	code, message := meaning(err)
	return &standin.Error{Code: code, Message: message, Cause: err}
}

// Explain is what an error of the server means, in a sentence for people. It
// reports whether err is one.
func Explain(err error) (sentence string, ok bool) {
	pgErr, ok := errors.AsType[*pgconn.PgError](err)
	if !ok {
		return "", false
	}
	_, sentence = meaningOf(pgErr)
	return sentence, true
}

// IsStarting reports whether a server takes no connections because it is on its
// way up or down.
func IsStarting(err error) bool {
	pgErr, ok := errors.AsType[*pgconn.PgError](err)
	return ok && pgErr.Code == cannotConnectNow
}

// IsElsewhere reports whether a server that refuses with an SQLSTATE is on its way
// down or up, is full, or had to break off what a standby was asked: another may
// answer.
func IsElsewhere(state string) bool {
	switch state[:min(2, len(state))] {
	case classConnection, classIntervention, classResources:
		return state != queryCanceled
	}
	return state == serializationFailure || state == deadlockDetected
}

// IsNoRows reports whether a query that must return a row returned none.
func IsNoRows(err error) bool { return errors.Is(err, pgx.ErrNoRows) }

func meaning(err error) (standin.Code, string) {
	if pgErr, ok := errors.AsType[*pgconn.PgError](err); ok {
		return meaningOf(pgErr)
	}
	if _, ok := errors.AsType[pgx.ScanArgError](err); ok {
		return standin.CodeSchema, "the database holds something that this program cannot read"
	}
	if errors.Is(err, context.DeadlineExceeded) {
		return standin.CodeUnavailable, "the database took too long to answer"
	}
	if errors.Is(err, context.Canceled) {
		return standin.CodeUnavailable, "the question was given up before the database answered"
	}
	if brokeOff(err) {
		return standin.CodeUnavailable, "the connection to the database broke off; try again, and see the database's log where it " +
			"happens again: a full disk is one reason"
	}
	return standin.CodeUnavailable, "the database cannot be reached"
}

// brokeOff reports whether a connection was lost that had been made: the server was
// reached, and it or the way to it then failed.
func brokeOff(err error) bool {
	if _, never := errors.AsType[*pgconn.ConnectError](err); never {
		return false
	}
	_, network := errors.AsType[*net.OpError](err)
	return network || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) ||
		pgconn.SafeToRetry(err) // nothing was sent: it was closed before
}

// IsDiskFull reports whether a server has no room on its disk.
func IsDiskFull(err error) bool {
	pgErr, ok := errors.AsType[*pgconn.PgError](err)
	return ok && pgErr.Code == diskFull
}

func meaningOf(err *pgconn.PgError) (standin.Code, string) {
	switch err.Code {
	case serializationFailure, deadlockDetected, lockNotAvailable:
		return standin.CodeConflict, "someone else is changing the same rows; try again"
	case readOnlyTransaction:
		return standin.CodeUnavailable, "the database takes no changes here, because it is a standby or read-only"
	case diskFull:
		return standin.CodeNoSpace, "the disk of the database is full; nothing was changed"
	case queryCanceled:
		return standin.CodeUnavailable, "the database took too long to answer"
	case invalidCatalogName:
		return standin.CodeUnavailable, "the server has no database of the name in the database URL; create it, or check the URL"
	case adminShutdown:
		return standin.CodeUnavailable, "the database ended this connection, because an administrator ended it or because it shuts down; try again"
	case crashShutdown:
		return standin.CodeUnavailable, "the database ended all connections, because one of its processes crashed; try again, and see its log"
	case databaseDropped:
		return standin.CodeUnavailable, "the database of the name in the database URL was dropped while it was in use"
	case idleSessionTimeout:
		return standin.CodeUnavailable, "the database ended this connection, because it was idle for too long; try again"
	case insufficientPrivilege:
		return standin.CodeSchema, "the database user may not do this; it must own the database's schema"
	}
	switch err.Code[:min(2, len(err.Code))] {
	case classConnection:
		return standin.CodeUnavailable, "the database cannot be reached"
	case classData:
		return standin.CodeRejected, "the database refuses a value: " + err.Message
	case classIntegrity:
		return standin.CodeRejected, brokenRule(err)
	case classAuthorization:
		return standin.CodeUnavailable, "the database does not let this user in; check user and password in the database URL"
	case classSyntax:
		return standin.CodeSchema, "the schema of the database is not this program's; run standin migrate status"
	case classResources:
		return standin.CodeUnavailable, "the database has run out of connections or memory; try again"
	case classIntervention:
		return standin.CodeUnavailable, "the database is starting up or shutting down; try again"
	}
	return standin.CodeUnavailable, "the database refused it (SQLSTATE " + err.Code + "); its log says why"
}

// brokenRule names the rule that a change would have broken. The constraints of
// the schema are named to be read as rules.
func brokenRule(err *pgconn.PgError) string {
	if err.ConstraintName == "" {
		return fmt.Sprintf("the database refuses it: %s.%s must be recorded", err.TableName, err.ColumnName)
	}
	return fmt.Sprintf("the database refuses it in %s, by the rule: %s",
		err.TableName, strings.ReplaceAll(err.ConstraintName, "_", " "))
}
