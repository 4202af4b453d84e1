package table

import (
	"errors"
	"fmt"
	"io/fs"

	"standin"
)

// Codes of findings about spreadsheets, beside those of every bundle.
const (
	HiddenSheet = "hidden-sheet" // it is not read
	HiddenRows  = "hidden-rows"  // they are read
	MergedCells = "merged-cells" // their value counts for the first of them
)

// warns are the codes of warnings.
var warns = map[string]bool{
	standin.UnknownColumn: true, standin.UnknownFile: true,
	standin.Implausible: true, standin.MixedLetters: true, standin.CutShort: true,
	HiddenSheet: true, HiddenRows: true, MergedCells: true,
}

// Fault is what is wrong with a cell, a row or a whole file, before its place
// is known. It is an error so that readers can return it; it becomes a Finding.
type Fault struct {
	Code       string
	Message    string // one sentence, without the place
	Correction string // what would be right, where that is known
	Place      int    // of a symbol in a code, from 1
	Line       int    // of a fault in a whole file, where it was seen; 0: nowhere in particular
	Ends       bool   // nothing after it can be read
}

// Reported stands for a fault of a cell that is among the findings already.
var Reported = &Fault{}

// Absent stands for no fault: it marks a cell of a column that the row does not have.
var Absent = &Fault{}

func (f *Fault) Error() string { return f.Message }

// Correct sets the correction and returns the fault.
func (f *Fault) Correct(text string) *Fault {
	f.Correction = text
	return f
}

// BadValue is the fault of a cell whose value cannot be used.
func BadValue(format string, args ...any) *Fault {
	return &Fault{Code: standin.BadValue, Message: fmt.Sprintf(format, args...)}
}

// MissingValue is the fault of a cell that must not be empty.
func MissingValue(format string, args ...any) *Fault {
	return &Fault{Code: standin.MissingValue, Message: fmt.Sprintf(format, args...)}
}

// Unreadable is a fault after which nothing can be read.
func Unreadable(format string, args ...any) *Fault {
	return &Fault{Code: standin.UnreadableFile, Message: fmt.Sprintf(format, args...), Ends: true}
}

// TooManyCells is the fault of a row that is wider than its header.
func TooManyCells() *Fault {
	return BadValue("the row has more cells than the header has columns; put a cell that contains a comma or semicolon in quotation marks")
}

// FaultOf returns an error of reading a file as a fault.
func FaultOf(err error) *Fault {
	var f *Fault
	switch {
	case errors.As(err, &f):
		return f
	case errors.Is(err, fs.ErrPermission):
		return Unreadable("the file may not be read; ask its owner for permission to read it")
	}
	return Unreadable("the file cannot be read to its end: %s", err)
}

// In returns the fault as a finding about a whole file.
func (f *Fault) In(file string) standin.Finding { return f.At(file, f.Line, "", "") }

// At returns the fault as a finding with its place.
func (f *Fault) At(file string, line int, column, value string) standin.Finding {
	severity := standin.SeverityError
	if warns[f.Code] {
		severity = standin.SeverityWarning
	}
	correction := f.Correction
	if len(correction) > ShownAsValue {
		correction = "" // half of one would be wrong
	}
	return standin.Finding{
		Severity: severity, File: file, Line: line, Column: column, Value: Cut(value, ShownAsValue),
		Code: f.Code, Message: f.Message, Correction: correction,
	}
}
