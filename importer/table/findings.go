package table

import (
	"cmp"
	"path/filepath"
	"slices"
	"strings"

	"standin"
)

// MostFindings is how many findings are kept; the rest are counted.
const MostFindings = 1000

// Findings gathers what is found in a bundle. Errors and warnings are kept
// apart, so that no number of warnings pushes out an error.
type Findings struct {
	kept   [2][]standin.Finding // by severity
	counts [2]int
}

// Add adds a finding.
func (f *Findings) Add(x standin.Finding) {
	f.counts[x.Severity]++
	if len(f.kept[x.Severity]) < MostFindings {
		f.kept[x.Severity] = append(f.kept[x.Severity], x)
	}
}

// AddMany adds the first of count findings. The rest are counted under the severity
// of the last one given.
func (f *Findings) AddMany(first []standin.Finding, count int) {
	for _, x := range first {
		f.Add(x)
	}
	if n := len(first); n > 0 {
		f.counts[first[n-1].Severity] += count - n
	}
}

// Errors returns the number of errors, including those that are not kept.
func (f *Findings) Errors() int { return f.counts[standin.SeverityError] }

// Warnings returns the number of warnings, including those that are not kept.
func (f *Findings) Warnings() int { return f.counts[standin.SeverityWarning] }

// FirstError is the first error that was found; there must be one.
func (f *Findings) FirstError() standin.Finding { return f.kept[standin.SeverityError][0] }

// First returns the findings to show, at most MostFindings, by file in the order of a
// bundle, line and column.
func (f *Findings) First() []standin.Finding {
	errors := f.kept[standin.SeverityError]
	slices.SortStableFunc(errors, byPlace)
	errors = errors[:min(len(errors), MostFindings)]
	warnings := f.kept[standin.SeverityWarning]
	slices.SortStableFunc(warnings, byPlace)
	warnings = warnings[:min(len(warnings), MostFindings-len(errors))]
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
	file, _ := FileOf(withEnding(name))
	rank := slices.IndexFunc(standin.Files, func(f standin.File) bool { return f.Name == file.Name })
	if rank < 0 {
		return len(standin.Files)
	}
	return rank
}

// withEnding returns the name of a sheet as that of a file.
func withEnding(name string) string {
	if HasEnding(name, ".csv") {
		return name
	}
	return name + ".csv"
}

func columnRank(f standin.Finding) int {
	file, _ := FileOf(withEnding(f.File))
	return slices.IndexFunc(file.Columns, func(c standin.Column) bool { return c.Name == f.Column })
}

// FileOf returns the file of a bundle that a file name means. Case, spaces and hyphens
// do not count.
func FileOf(name string) (standin.File, bool) {
	if !HasEnding(name, ".csv") {
		return standin.File{}, false
	}
	return standin.FileNamed(Normal(strings.TrimSuffix(name, filepath.Ext(name))))
}
