package standin

import "errors"

// Code is the stable name of a kind of error, for programs.
type Code string

// The codes of errors that reach people. Each adapter maps them once: the API
// to a status, the command line to an exit status.
const (
	CodeBadRequest   Code = "bad-request"   // the question is malformed
	CodeUnknownModel Code = "unknown-model" // no such model; Nearest has those that look like it
	CodeNotFound     Code = "not-found"     // no such board, family or import
	CodeRejected     Code = "rejected"      // a bundle with errors, or a change that must not be
	CodeConflict     Code = "conflict"      // someone else is changing it, or has changed it since
	CodeUnavailable  Code = "unavailable"   // the database is away
	CodeSchema       Code = "schema"        // the database's schema is not this program's
	CodeNoSpace      Code = "no-space"      // the database's disk is full
)

// Error is the one error type that is meant for people: a stable code, one
// sentence, what it is about, and for the log the cause.
type Error struct {
	Code    Code
	Message string        // one sentence for people, with what would be accepted
	Field   string        // the parameter, column or file it is about; empty: none
	Nearest []ModelMatch  // for CodeUnknownModel, best first
	Stock   []StockRecord // for CodeNotFree: what else is free of the part
	Cause   error         // for the log, never shown
}

// Error is the sentence, and the cause where there is one: for logs.
func (e *Error) Error() string {
	if e.Cause != nil {
		return e.Message + " (" + e.Cause.Error() + ")"
	}
	return e.Message
}

// Unwrap is the cause.
func (e *Error) Unwrap() error { return e.Cause }

// CodeOf is the code of the first Error in err's chain, empty where there is none.
func CodeOf(err error) Code {
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}
