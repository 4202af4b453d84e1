package sheet

import (
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"standin/importer/table"
)

// Measure returns the first row of a sheet that is not empty, and how many cells the
// widest row has. Where the sheet cannot be read width is 0.
func (s Sheet) Measure(ctx context.Context) (first, width int, err error) {
	in, err := s.Open(ctx)
	if err != nil {
		return 1, 0, err
	}
	defer in.Close()
	for {
		row, err := in.Next()
		if errors.Is(err, io.EOF) {
			return max(1, first), width, nil
		}
		if err != nil {
			return 1, 0, err
		}
		if width = max(width, len(row.Cells)); first == 0 {
			first = row.Line
		}
	}
}

// mostOfRow is how many bytes of XML one row or one shared text may have.
const mostOfRow = 16 << 20

const hugeCell = "the row is larger than that of any honest spreadsheet; save the sheet as CSV"

// sheetRows reads the rows of a sheet with what its cells show: the values of
// formulas, dates as ISO 8601, TRUE and FALSE.
type sheetRows struct {
	io.Closer
	sheet   Sheet
	texts   *texts
	decoder *xml.Decoder
	limit   *table.Allowance
	cells   []string
	kinds   []table.CellKind
	wrong   map[int]*table.Fault
	last    int  // number of the last row
	within  bool // the rows have begun
	hidden  table.Spans
	merged  []string // the first of the ranges that are merged
	merges  int      // all of them
	value   strings.Builder
	ended   bool
}

// Open begins to read the rows. The shared texts of the workbook are read once.
func (s Sheet) Open(ctx context.Context) (table.Rows, error) {
	shared, err := s.book.sharedTexts()
	if err != nil {
		return nil, err
	}
	in, err := table.Unpack(s.part)
	if err != nil {
		return nil, err
	}
	r := &sheetRows{Closer: in, sheet: s, texts: shared, wrong: map[int]*table.Fault{}}
	r.limit = table.NewAllowance(table.UntilDone(ctx, in), mostOfRow, hugeCell)
	r.decoder = xml.NewDecoder(r.limit)
	return r, nil
}

func (r *sheetRows) Read() table.Reading {
	reading := table.Reading{Encoding: "XLSX"}
	if r.hidden != nil {
		f := &table.Fault{Code: table.HiddenRows, Line: r.hidden[0].From, Message: "hidden rows are read like the others: " + r.hidden.String()}
		reading.Remarks = append(reading.Remarks, f)
	}
	if r.merges > 0 {
		shown := table.List(r.merged)
		if more := r.merges - len(r.merged); more > 0 {
			shown += fmt.Sprintf(" and %d more", more)
		}
		reading.Remarks = append(reading.Remarks, &table.Fault{Code: table.MergedCells,
			Message: "cells are merged (" + shown + "); what they say counts for the first of them alone, the others are empty"})
	}
	return reading
}

func (r *sheetRows) Next() (table.Record, error) {
	for !r.ended {
		r.limit.Renew()
		token, err := r.decoder.RawToken()
		if err != nil {
			r.ended = true
			return table.Record{Line: r.last + 1}, damaged(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			switch token.Name.Local {
			case "sheetData":
				r.within = true
			case "row":
				found, err := r.row(token)
				if err != nil {
					r.ended = true
					return table.Record{Line: r.last}, damaged(err)
				}
				if found {
					return table.Record{Line: r.last, Cells: r.cells, Kinds: r.kinds, Wrong: r.wrong}, nil
				}
			case "mergeCell":
				if r.merges++; r.merges <= table.MostSpans {
					r.merged = append(r.merged, table.Cut(attribute(token, "ref"), table.ShownInMessage))
				}
			}
		case xml.EndElement:
			r.ended = token.Name.Local == "worksheet"
		}
	}
	return table.Record{}, io.EOF
}

// row reads one row, and reports whether it holds anything.
func (r *sheetRows) row(start xml.StartElement) (found bool, err error) {
	number := r.last + 1
	if text := attribute(start, "r"); text != "" {
		switch number, err = strconv.Atoi(text); {
		case errors.Is(err, strconv.ErrSyntax):
			return false, table.Unreadable("row %s is no number; save the workbook again", table.Quoted(text))
		case number <= r.last:
			return false, table.Unreadable("the rows of the sheet are out of order; save the workbook again")
		}
	}
	if number > table.MostRows {
		return false, table.Unreadable("the sheet has more rows than a spreadsheet can have (%d); split it", table.MostRows)
	}
	r.last = number
	r.cells, r.kinds = r.cells[:0], r.kinds[:0]
	clear(r.wrong)
	for {
		token, err := r.decoder.RawToken()
		if err != nil {
			return false, err
		}
		switch token := token.(type) {
		case xml.StartElement:
			if token.Name.Local == "c" {
				if err := r.cell(token); err != nil {
					return false, err
				}
			}
		case xml.EndElement:
			if token.Name.Local != "row" {
				continue
			}
			found = !table.Blank(r.cells)
			if found && isTrue(attribute(start, "hidden")) {
				r.hidden.Add(number)
			}
			return found, nil
		}
	}
}

// cell reads one cell into its place.
func (r *sheetRows) cell(start xml.StartElement) error {
	at := len(r.cells)
	if reference := attribute(start, "r"); reference != "" {
		column, row, ok := place(reference)
		if beyond(reference) {
			return tooManyCells(r.last)
		}
		if !ok || row != r.last || column < at {
			return table.Unreadable("the cells of row %d are out of order; save the workbook again", r.last)
		}
		at = column
	}
	if at >= table.MostColumns {
		return tooManyCells(r.last)
	}
	text, formula, err := r.content()
	if err != nil {
		return err
	}
	style, _ := strconv.Atoi(attribute(start, "s"))
	value, kind, f := r.shows(attribute(start, "t"), text, style)
	if formula.there && !formula.worked(attribute(start, "t"), text) {
		value, kind, f = formula.shown(), table.TextCell, table.BadValue(
			"the formula in cell %s%d has not been worked out; open the workbook in a spreadsheet program and save it, or type the value", table.ColumnLetters(at), r.last)
	}
	if value == "" {
		return nil
	}
	r.cells = append(r.cells, slices.Repeat([]string{""}, at-len(r.cells))...)
	r.kinds = append(r.kinds, slices.Repeat([]table.CellKind{table.TextCell}, at-len(r.kinds))...)
	r.cells, r.kinds = append(r.cells, value), append(r.kinds, kind)
	if f != nil {
		r.wrong[at] = f
	}
	return nil
}

func tooManyCells(row int) error {
	return table.Unreadable("row %d has more cells than a spreadsheet can have (%d)", row, table.MostColumns)
}

// beyond reports whether a reference names a column after the last that there can be.
func beyond(reference string) bool {
	letters := strings.TrimRight(reference, "0123456789")
	return letters != "" && strings.Trim(letters, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == "" && table.ColumnNamed(letters) < 0
}

// formula is that of a cell, and whether the workbook has a value for it. Programs
// that write workbooks without working out formulas leave it out, or leave it empty.
type formula struct {
	there, valued bool // valued: there is an element for the value
	text          string
}

// worked reports whether the value is the formula's. The empty text is a value where
// it is said to be text.
func (f formula) worked(kind, value string) bool { return value != "" || f.valued && kind == "str" }

func (f formula) shown() string { return "=" + table.Cut(f.text, table.ShownAsValue) }

// content returns the text of a cell's value, and its formula.
func (r *sheetRows) content() (text string, f formula, err error) {
	r.value.Reset()
	inValue, inFormula := false, false
	for {
		token, err := r.decoder.RawToken()
		if err != nil {
			return "", f, err
		}
		switch token := token.(type) {
		case xml.StartElement:
			inValue, inFormula = token.Name.Local == "v", token.Name.Local == "f"
			f.there, f.valued = f.there || inFormula, f.valued || inValue
			if token.Name.Local == "is" {
				text, err := richText(r.decoder, "is")
				if err != nil {
					return "", f, err
				}
				r.value.WriteString(text)
			}
		case xml.CharData:
			if inValue {
				r.value.Write(token)
			}
			if inFormula && len(f.text) < table.ShownAsValue {
				f.text += string(token)
			}
		case xml.EndElement:
			inValue, inFormula = false, false
			if token.Name.Local == "c" {
				return r.value.String(), f, nil
			}
		}
	}
}

// shows returns what a cell shows, by its type (ECMA-376 part 1, 18.18.11).
func (r *sheetRows) shows(kind, text string, style int) (string, table.CellKind, *table.Fault) {
	switch kind {
	case "s":
		i, err := strconv.Atoi(strings.TrimSpace(text))
		shared, ok := r.texts.at(i)
		if err != nil || !ok {
			return text, table.TextCell, table.BadValue("the workbook has lost the text of this cell; type it again")
		}
		return shared, table.TextCell, nil
	case "inlineStr":
		return text, table.TextCell, nil
	case "str":
		return unescaped(text), table.TextCell, nil
	case "b":
		if isTrue(text) {
			return "TRUE", table.TruthCell, nil
		}
		return "FALSE", table.TruthCell, nil
	case "e":
		return text, table.TextCell, table.BadValue("the cell shows the error %s; correct its formula or type the value", table.Quoted(text))
	case "d":
		return strings.TrimSuffix(strings.TrimSuffix(text, "Z"), "T00:00:00"), table.DateCell, nil
	}
	if text == "" {
		return "", table.TextCell, nil
	}
	number := r.sheet.book.number(text, style)
	if _, err := strconv.ParseFloat(number, 64); err != nil || len(number) > 4 && number[4] == '-' {
		return number, table.DateCell, nil
	}
	return number, table.NumberCell, nil
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}
