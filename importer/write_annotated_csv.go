package importer

import (
	"bufio"
	"context"
	"errors"
	"io"
	"strings"

	"standin"
	"standin/importer/table"
)

// annotateCSV copies a CSV file unchanged but for formulas, with the findings about
// each row after its last cell.
func annotateCSV(ctx context.Context, f file, header int, delimiter rune, other charset, found []standin.Finding, w io.Writer) error {
	p, err := openPlain(ctx, f, delimiter, other)
	if err != nil {
		return err
	}
	width, first, err := p.measure()
	if err != nil {
		return err
	}
	if header == 0 {
		header = first
	}
	texts := sentences(found, f.name, header)
	if p, err = openPlain(ctx, f, p.delimiter, other); err != nil {
		return err
	}
	defer p.Close()
	out := bufio.NewWriter(w)
	out.WriteString("\ufeff") // the byte order mark by which spreadsheets recognise UTF-8
	for {
		row, err := p.next()
		if errors.Is(err, io.EOF) {
			return out.Flush()
		}
		if err != nil {
			return err
		}
		said := texts[row.line]
		if row.line == header {
			said = strings.TrimSuffix(annotation+"\n"+said, "\n")
		}
		out.WriteString(row.text)
		if said != "" || !table.Blank([]string{row.text}) && !row.declares {
			out.WriteString(strings.Repeat(string(p.delimiter), max(1, width-row.cells+1)))
		}
		if said != "" {
			out.WriteString(`"` + strings.ReplaceAll(Defuse(said), `"`, `""`) + `"`)
		}
		out.WriteString(row.end)
	}
}

// plainRow is a row of CSV text exactly as it is in the file.
type plainRow struct {
	line     int
	text     string
	end      string // of the line: LF, CRLF or nothing
	cells    int
	declares bool // it declares the delimiter
}

// plainRows cuts CSV text into rows without changing it.
type plainRows struct {
	io.Closer
	in        *bufio.Reader
	delimiter rune
	line      int
	started   bool
}

func openPlain(ctx context.Context, f file, delimiter rune, other charset) (*plainRows, error) {
	text, in, _, err := openText(ctx, f, other)
	if err != nil {
		return nil, err
	}
	p := &plainRows{Closer: in, in: bufio.NewReaderSize(text, chunk), delimiter: delimiter, line: 1}
	if delimiter == 0 {
		sample, _ := p.in.Peek(chunk)
		if p.delimiter, _ = declared(string(sample)); p.delimiter == 0 {
			p.delimiter = delimiterOf(string(sample), knownColumn)
		}
	}
	return p, nil
}

// knownColumn reports whether any file of a bundle has a column of that name.
func knownColumn(name string) bool {
	for _, f := range standin.Files {
		if _, ok := f.Column(table.Normal(name)); ok {
			return true
		}
	}
	return false
}

// measure reads all rows. It returns how many cells the widest has, and the line of
// the first that is not empty.
func (p *plainRows) measure() (width, first int, err error) {
	defer p.Close()
	for {
		row, err := p.next()
		if errors.Is(err, io.EOF) {
			return width, first, nil
		}
		if err != nil {
			return 0, 0, err
		}
		if width = max(width, row.cells); first == 0 && !row.declares && !table.Blank([]string{row.text}) {
			first = row.line
		}
	}
}

// next returns the next row, with an apostrophe before what a spreadsheet would run
// as a formula; reading the table again gives the same value. A quotation mark opens a
// quoted cell only at the beginning of the cell, as for the reader of the table.
func (p *plainRows) next() (plainRow, error) {
	row := plainRow{line: p.line, cells: 1}
	var text strings.Builder
	quoted, begins, opened := false, true, false
	for {
		r, size, err := p.in.ReadRune()
		if errors.Is(err, io.EOF) && text.Len() > 0 {
			break
		}
		if err != nil {
			return row, err
		}
		if text.Len()+size > 2*longestRow {
			return row, table.Unreadable("%s", longRow)
		}
		if r == '\n' {
			p.line++
			if !quoted {
				row.end = "\n"
				break
			}
		}
		if (begins || opened) && p.runs(r) {
			text.WriteByte('\'')
		}
		text.WriteRune(r)
		switch {
		case r == '"' && quoted:
			if next, _ := p.in.Peek(1); string(next) == `"` { // one of two stands for itself
				_, _, _ = p.in.ReadRune() // it was seen
				text.WriteRune(r)
				continue
			}
			quoted = false
		case r == '"' && begins:
			quoted = true
		case r == p.delimiter && !quoted:
			row.cells++
		}
		opened = r == '"' && begins
		begins = r == p.delimiter && !quoted
	}
	row.text = text.String()
	if cut, found := strings.CutSuffix(row.text, "\r"); found && row.end != "" {
		row.text, row.end = cut, "\r\n"
	}
	_, length := declared(row.text + "\n")
	row.declares = !p.started && length > 0
	p.started = true
	return row, nil
}

// runs reports whether a spreadsheet would take a cell for a formula that begins with r.
func (p *plainRows) runs(r rune) bool {
	if r == p.delimiter || !risky(string(r)) {
		return false
	}
	next, _ := p.in.Peek(1)
	return r != '\r' || string(next) != "\n" // the end of the line
}
