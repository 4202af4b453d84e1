package standin

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// UploadState is how far an upload is.
type UploadState string

// The states of an upload. The first four are those of one under way.
const (
	UploadWaiting  UploadState = "waiting"  // others are before it
	UploadReading  UploadState = "reading"  // its rows are read
	UploadChecking UploadState = "checking" // they are compared with each other and with what is stored
	UploadWriting  UploadState = "writing"  // what changes is written
	UploadChecked  UploadState = "checked"  // it has no errors; nothing was to be imported
	UploadDone     UploadState = "done"     // it was imported, or the catalogue had all of it
	UploadRefused  UploadState = "refused"  // it has errors, or must not be; nothing was imported
	UploadFailed   UploadState = "failed"   // it could not be finished; nothing was imported
	UploadLost     UploadState = "lost"     // the service that worked on it ended; nothing was imported
)

// The codes of errors about uploads.
const (
	CodeBusy     Code = "busy"      // too much is asked at once
	CodeTooLarge Code = "too-large" // more was sent than is accepted
)

// UploadKept is how long an upload and its findings can be asked for.
const UploadKept = 7 * 24 * time.Hour

// UnderWay reports whether the upload has not ended.
func (s UploadState) UnderWay() bool {
	return s == UploadWaiting || s == UploadReading || s == UploadChecking || s == UploadWriting
}

// UploadOptions say how a bundle is to be imported.
type UploadOptions struct {
	Check        bool     `json:"check,omitempty"`         // do everything but import it
	Replace      []string `json:"replace,omitempty"`       // families whose rows that the bundle no longer has are removed
	ReplaceStock []string `json:"replace_stock,omitempty"` // locations of which the bundle has all the stock
	Encoding     string   `json:"encoding,omitempty"`      // of text that is neither UTF-8 nor UTF-16; empty: windows-1252
	Mapping      string   `json:"mapping,omitempty"`       // a mapping, in place of one that was sent; empty: none
	Consents     Consents `json:"consents,omitempty"`
}

// Consent is to what an import does only where it is asked for.
type Consent string

// The consents; see ImportRequest.
const (
	LiftStops        Consent = "lift-stops"
	Shrink           Consent = "shrink"
	SkipUnknownStock Consent = "skip-unknown-stock"
)

// Consents are those that were given.
type Consents []Consent

// Has reports whether a consent was given.
func (c Consents) Has(one Consent) bool { return slices.Contains(c, one) }

// NewUpload is a bundle to be checked or imported.
type NewUpload struct {
	By      string
	Options UploadOptions
}

// Upload is a bundle that was sent to be checked or imported in the background, or
// an import that is to be undone, and what became of it.
type Upload struct {
	ID      string // empty: only its import is known any more
	Created time.Time
	Ended   time.Time // zero: it is under way
	By      string
	Bundle  string // its name
	Options UploadOptions
	Undoes  int64 // the import to be undone; 0: it is a bundle

	State UploadState
	File  string  // that is being read
	Rows  int     // read up to now; while writing, those that change
	Share float64 // of the bytes to be read, from 0 to 1; 0 where that is not known

	Errors, Warnings int
	Read             []FileRead // how the files were read
	Files            []FileDiff // what it changes, by file, without the rows
	Import           Import     // that was made; ID 0: none, or nothing changed
	Err              *Error     // why it was refused, failed or was lost; else nil
	KeptUntil        time.Time  // until when it can be taken in without being sent again; zero: it cannot
}

// FileRead is one file of a bundle as it was read.
type FileRead struct {
	File      string // as it is named in the bundle
	Rows      int    // rows that have anything in them, the header left out
	Encoding  string // UTF-8, UTF-16LE, windows-1252 …; XLSX
	Delimiter string // comma, semicolon or tab; empty in a spreadsheet

	Absent []string // columns that it does not have, keys left out: what is recorded of them stays
}

// String is a line for people: models.csv: 40 rows (UTF-8, comma), without class:
// these stay as recorded.
func (f FileRead) String() string {
	rows := fmt.Sprintf("%d rows", f.Rows)
	if f.Rows == 1 {
		rows = "1 row"
	}
	text := f.Encoding
	if f.Delimiter != "" {
		text += ", " + f.Delimiter
	}
	said := fmt.Sprintf("%s: %s (%s)", f.File, rows, text)
	if len(f.Absent) > 0 {
		said += ", without " + strings.Join(f.Absent, ", ") + ": these stay as recorded"
	}
	return said
}

// UploadFound is what was found in a bundle.
type UploadFound struct {
	Errors, Warnings int
	Findings         []Finding  // the first of them, errors before warnings
	Read             []FileRead // how the files were read
	Files            []FileDiff // what it changes; none where it has errors
}

// Proposal is a mapping for a supplier's table, line by line.
type Proposal struct {
	Mapping string // as YAML
	Lines   []MappingLine
	Headers []string // of the table
}

// MappingLine says where a column of a bundle comes from.
type MappingLine struct {
	File, Column string // of the bundle
	Value        string // the header of a column of the table, or a constant; empty: see SameAs and Text
	Constant     bool   // Value is one
	SameAs       string // the name of the line that it is the same as
	Text         string // what else the mapping says
	Said         string // how sure it is and why
}

// FileChange is a change of a row of a file of a bundle.
type FileChange struct {
	File string
	Change
}

// Intake checks and imports bundles in the background, one at a time per service.
// Its methods are safe for concurrent use. Every error is an *Error; CodeUnavailable
// where the database is away. Uploads can be asked for from every service on the
// database, for UploadKept.
type Intake interface {
	// Receive makes room for the files of one bundle before any of them is sent.
	// CodeBusy where too many uploads are under way.
	Receive(ctx context.Context) (Incoming, error)

	// UndoUpload has an import be undone. CodeNotFound where there is no such import.
	UndoUpload(ctx context.Context, imported int64, consents Consents, by string, once Once) (Upload, error)

	// Take imports an upload that was only checked, also one that was refused, with a
	// consent that it lacked; where that is refused too, it can be taken again.
	// CodeConflict where it cannot be: it was taken before, or no service has its files
	// any more.
	Take(ctx context.Context, id string, consents Consents, by string, once Once) (Upload, error)

	// Propose is the mapping of an upload of one file that was only checked, or one
	// that is proposed for it where it has none. CodeConflict where this service does
	// not have the file any more, CodeBadRequest where it is no table.
	Propose(ctx context.Context, id string) (Proposal, error)

	// Remap has an upload that was only checked be checked again, by a mapping whose
	// lines, by their places, have other values; an empty one leaves the line out.
	// CodeConflict as of Take.
	Remap(ctx context.Context, id, mapping string, values map[int]string, by string, once Once) (Upload, error)

	// UploadOf is one upload. CodeNotFound where there is none, or none any more.
	UploadOf(ctx context.Context, id string) (Upload, error)

	// UploadOfImport is the upload that made an import, as far as that is kept: of
	// an import that was not uploaded, or long ago, it has no more than the import.
	UploadOfImport(ctx context.Context, imported int64) (Upload, error)

	// AwaitUpload returns when an upload has ended, or so much time has passed, or
	// the context is at its end, none of which is an error.
	AwaitUpload(ctx context.Context, id string, wait time.Duration) error

	// FindingsOf are the findings of an upload, errors before warnings, those after
	// so many. The first 1,000 are kept.
	FindingsOf(ctx context.Context, id string, after, limit int) ([]Finding, error)

	// ChangesOf are the rows that an upload changes or would change, those after so
	// many. Of an import all are kept, of a check the first 1,000 of each file.
	ChangesOf(ctx context.Context, upload Upload, after, limit int) ([]FileChange, error)

	// ListImports are the imports, newest first, those before an id (0: all).
	ListImports(ctx context.Context, before int64, limit int) ([]Import, error)

	// EncodeFindings writes findings as CSV that a spreadsheet can safely open.
	EncodeFindings(out io.Writer, findings []Finding) error
}

// Incoming is a bundle that is being received. It is for one goroutine.
type Incoming interface {
	// Add receives a file. CodeTooLarge where all of them are larger than is
	// accepted, CodeBadRequest where the name will not do, CodeNoSpace where the
	// disk is full. An error of from is returned as it is.
	Add(name string, from io.Reader) error

	// AddMapping receives the mapping by which the one file is a supplier's table.
	AddMapping(from io.Reader) error

	// Sum is a hash of everything that was received.
	Sum() [32]byte

	// Submit has what was received be checked or imported. The same key and request
	// as before is the upload of then, unless that failed or was lost.
	Submit(ctx context.Context, upload NewUpload, once Once) (Upload, error)

	// Discard gives the files and their room up. After Submit it does nothing.
	Discard()
}
