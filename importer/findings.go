package importer

import (
	"cmp"
	"slices"
	"strings"

	"standin"
)

// The codes of what is said of spreadsheets beside those of every bundle.
const (
	HiddenSheet = "hidden-sheet" // it is not read
	HiddenRows  = "hidden-rows"  // they are read
	MergedCells = "merged-cells" // what they say counts for the first of them
)

// warns are the codes of warnings.
var warns = map[string]bool{
	standin.UnknownColumn: true, standin.UnknownFile: true,
	HiddenSheet: true, HiddenRows: true, MergedCells: true,
}

// mostFindings is how many findings are kept; the rest are counted.
const mostFindings = 1000

// findings gathers what is said of a bundle. Errors and warnings are kept
// apart, so that no number of warnings pushes out an error.
type findings struct {
	kept   [2][]standin.Finding // by severity
	counts [2]int
}

func (f *findings) add(x standin.Finding) {
	f.counts[x.Severity]++
	if len(f.kept[x.Severity]) < mostFindings {
		f.kept[x.Severity] = append(f.kept[x.Severity], x)
	}
}

// addMany takes the first of count findings. The others are counted as what the
// last of the first is.
func (f *findings) addMany(first []standin.Finding, count int) {
	for _, x := range first {
		f.add(x)
	}
	if n := len(first); n > 0 {
		f.counts[first[n-1].Severity] += count - n
	}
}

func (f *findings) errors() int   { return f.counts[standin.SeverityError] }
func (f *findings) warnings() int { return f.counts[standin.SeverityWarning] }

// first are the findings to show, by file as a bundle orders them, line and column.
func (f *findings) first() []standin.Finding {
	errors := f.kept[standin.SeverityError]
	slices.SortStableFunc(errors, byPlace)
	errors = errors[:min(len(errors), mostFindings)]
	warnings := f.kept[standin.SeverityWarning]
	slices.SortStableFunc(warnings, byPlace)
	warnings = warnings[:min(len(warnings), mostFindings-len(errors))]
	all := slices.Concat(errors, warnings)
	slices.SortStableFunc(all, byPlace)
	return all
}

func byPlace(a, b standin.Finding) int {
	return cmp.Or(
		cmp.Compare(fileRank(a.File), fileRank(b.File)),
		strings.Compare(a.File, b.File),
		cmp.Compare(a.Line, b.Line),
		cmp.Compare(columnRank(a), columnRank(b)),
		strings.Compare(a.Column, b.Column),
		cmp.Compare(a.Severity, b.Severity),
	)
}

func fileRank(name string) int {
	file, _ := fileOf(withEnding(name))
	rank := slices.IndexFunc(standin.Files, func(f standin.File) bool { return f.Name == file.Name })
	if rank < 0 {
		return len(standin.Files)
	}
	return rank
}

// withEnding is the name of a sheet as that of a file.
func withEnding(name string) string {
	if hasEnding(name, ".csv") {
		return name
	}
	return name + ".csv"
}

func columnRank(f standin.Finding) int {
	file, _ := fileOf(withEnding(f.File))
	return slices.IndexFunc(file.Columns, func(c standin.Column) bool { return c.Name == f.Column })
}

// in is the fault as a finding about a whole file.
func (f *fault) in(file string) standin.Finding { return f.at(file, f.line, "", "") }

// at is the fault as a finding with its place.
func (f *fault) at(file string, line int, column, value string) standin.Finding {
	severity := standin.SeverityError
	if warns[f.code] {
		severity = standin.SeverityWarning
	}
	correction := f.correction
	if len(correction) > shownAsValue {
		correction = "" // half of one would be wrong
	}
	return standin.Finding{
		Severity: severity, File: file, Line: line, Column: column, Value: cut(value, shownAsValue),
		Code: f.code, Message: f.message, Correction: correction,
	}
}
