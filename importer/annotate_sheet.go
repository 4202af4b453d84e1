package importer

import (
	"context"
	"errors"
	"io"

	"github.com/xuri/excelize/v2"

	"standin"
)

const (
	mostAnnotated = 256 << 20 // bytes of a workbook, unpacked, that is annotated: it is held as a whole
	mostOfText    = 32_000    // characters of a cell; a spreadsheet takes 32,767
	annotateWidth = 60        // characters that the column shows
)

// annotateSheets copies a workbook with a column more in each sheet that is read.
func (b *bundle) annotateSheets(ctx context.Context, path string, found []standin.Finding, w io.Writer) error {
	book, err := excelize.OpenFile(path, excelize.Options{UnzipSizeLimit: mostAnnotated, UnzipXMLSizeLimit: mostAnnotated})
	if err != nil {
		return unreadable("the workbook is damaged, or larger than %d MiB when it is unpacked; have the findings as CSV instead", mostAnnotated>>20)
	}
	defer book.Close()
	for _, f := range b.files {
		name := f.name
		if b.supplied != nil {
			if f.name != b.supplied.file.name {
				continue
			}
			name = b.supplied.name
		}
		if err := b.annotateSheet(ctx, book, f, name, found); err != nil {
			return err
		}
	}
	return book.Write(w)
}

// annotateSheet writes behind the widest row of a sheet.
func (b *bundle) annotateSheet(ctx context.Context, book *excelize.File, f file, name string, found []standin.Finding) error {
	header, width, err := measureSheet(ctx, *f.sheet)
	if err != nil {
		return err
	}
	if b.supplied != nil {
		if h := b.headerLine(ctx, charset{}); h > 0 {
			header = h
		}
	}
	column := letters(width)
	cells := sentences(found, name, header)
	if cells[header] = annotation + "\n" + cells[header]; cells[header] == annotation+"\n" {
		cells[header] = annotation
	}
	wrap, err := book.NewStyle(&excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	if err != nil {
		return err
	}
	if err := book.SetColWidth(f.name, column, column, annotateWidth); err != nil {
		return err
	}
	for line, text := range cells {
		at, err := excelize.CoordinatesToCellName(width+1, max(1, line))
		if err != nil {
			return err
		}
		if err := errors.Join(book.SetCellStr(f.name, at, cut(text, mostOfText)), book.SetCellStyle(f.name, at, at, wrap)); err != nil {
			return err
		}
	}
	return nil
}

// measureSheet is the first row of a sheet that has anything in it, and how many
// cells the widest has. What cannot be read has no width.
func measureSheet(ctx context.Context, s sheet) (first, width int, err error) {
	in, err := s.open(ctx)
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
		if width = max(width, len(row.cells)); first == 0 {
			first = row.line
		}
	}
}
