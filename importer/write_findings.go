package importer

import (
	"encoding/csv"
	"io"
	"strconv"

	"standin"
)

// WriteFindings writes findings to a file as CSV that a spreadsheet can open:
// UTF-8 with a byte order mark, and no cell that it would run.
func WriteFindings(path string, all []standin.Finding) error {
	return writeError(path, ReplaceFile(path, func(w io.Writer) error { return EncodeFindings(w, all) }))
}

// EncodeFindings writes findings as WriteFindings does.
func EncodeFindings(w io.Writer, all []standin.Finding) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	rows := [][]string{{"severity", "file", "line", "column", "value", "code", "message", "correction"}}
	for _, x := range all {
		line := ""
		if x.Line > 0 {
			line = strconv.Itoa(x.Line)
		}
		row := []string{x.Severity.String(), x.File, line, x.Column, x.Value, x.Code, x.Message, x.Correction}
		for i, cell := range row {
			row[i] = Defuse(cell)
		}
		rows = append(rows, row)
	}
	return out.WriteAll(rows)
}
