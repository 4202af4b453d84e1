package sheet

import (
	"errors"
	"io"

	"github.com/xuri/excelize/v2"

	"standin/importer/table"
)

const (
	mostAnnotated = 256 << 20 // bytes of a workbook, unpacked, that a column is added to: it is held as a whole
	mostOfText    = 32_000    // characters of a cell; a spreadsheet takes 32,767
	addedWidth    = 60        // characters that the column shows
)

// Column is a column that is added to a sheet.
type Column struct {
	Sheet string
	At    int            // counted from 0
	Cells map[int]string // by the numbers of their rows
}

// AddColumns copies the workbook at a path with columns more. A workbook that
// cannot be held in memory is a *table.Fault.
func AddColumns(path string, columns []Column, w io.Writer) error {
	book, err := excelize.OpenFile(path, excelize.Options{UnzipSizeLimit: mostAnnotated, UnzipXMLSizeLimit: mostAnnotated})
	if err != nil {
		return table.Unreadable("the workbook is damaged, or larger than %d MiB when it is unpacked; have the findings as CSV instead", mostAnnotated>>20)
	}
	defer book.Close()
	wrap, err := book.NewStyle(&excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	if err != nil {
		return err
	}
	for _, c := range columns {
		if err := c.write(book, wrap); err != nil {
			return err
		}
	}
	return book.Write(w)
}

func (c Column) write(book *excelize.File, style int) error {
	name := table.ColumnLetters(c.At)
	if err := book.SetColWidth(c.Sheet, name, name, addedWidth); err != nil {
		return err
	}
	for row, text := range c.Cells {
		at, err := excelize.CoordinatesToCellName(c.At+1, max(1, row))
		if err != nil {
			return err
		}
		if err := errors.Join(book.SetCellStr(c.Sheet, at, table.Cut(text, mostOfText)), book.SetCellStyle(c.Sheet, at, at, style)); err != nil {
			return err
		}
	}
	return nil
}
