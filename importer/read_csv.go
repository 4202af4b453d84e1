package importer

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"io"

	"standin"
	"standin/importer/table"
)

// longestRow is how many bytes one row may have, embedded lines included. It
// bounds the memory, and the damage of a quotation mark that is never closed.
const longestRow = 1 << 20

const longRow = "the row is longer than 1024 KiB; probably a quotation mark before it is never closed"

// csvTable is a CSV file of a bundle as a table.
func csvTable(f file, description standin.File, other charset) table.Table {
	known := func(name string) bool {
		_, known := description.Column(table.Normal(name))
		return known
	}
	return table.Table{File: description, Name: f.name, Open: func(ctx context.Context) (table.Rows, error) {
		return openCSV(ctx, f, known, 0, other)
	}}
}

// openCSV reads the file twice: once for its encoding, then row by row. Where
// delimiter is 0 it is found out by the columns that are known.
func openCSV(ctx context.Context, f file, known func(string) bool, delimiter rune, other charset) (table.Rows, error) {
	text, in, set, err := openText(ctx, f, other)
	if err != nil {
		return nil, err
	}
	c := newCSVRows(text, known)
	if c.Closer = in; delimiter != 0 {
		c.delimit(delimiter)
	}
	c.reading.Encoding = set.name
	return c, nil
}

// openText returns the text of a file, what must be closed after reading it, and its
// encoding.
func openText(ctx context.Context, f file, other charset) (io.Reader, io.Closer, charset, error) {
	set, err := charsetOf(ctx, f, other)
	if err != nil {
		return nil, nil, set, err
	}
	in, err := f.open()
	if err != nil {
		return nil, nil, set, err
	}
	text, err := set.decode(table.UntilDone(ctx, in))
	if err != nil {
		in.Close()
		return nil, nil, set, err
	}
	return text, in, set, nil
}

func charsetOf(ctx context.Context, f file, other charset) (charset, error) {
	in, err := f.open()
	if err != nil {
		return charset{}, err
	}
	defer in.Close()
	return detect(table.UntilDone(ctx, in), other)
}

// csvRows reads the rows of CSV text.
type csvRows struct {
	io.Closer
	reader  *csv.Reader
	allowed *table.Allowance
	reading table.Reading
	before  int // lines before those that reader counts
	last    int // line of the last row
	end     *lastByte
	widths  widths
}

func newCSVRows(text io.Reader, known func(string) bool) *csvRows {
	c := &csvRows{end: &lastByte{Reader: text}, Closer: io.NopCloser(nil)}
	c.allowed = table.NewAllowance(c.end, longestRow, longRow)
	buffered := bufio.NewReaderSize(c.allowed, chunk)
	sample, _ := buffered.Peek(chunk) // an error is returned again by the next read
	delimiter, length := declared(string(sample))
	if length == 0 {
		delimiter = delimiterOf(string(sample), known)
	} else {
		buffered.Discard(length)
		c.before = 1
	}
	c.reader = csv.NewReader(buffered)
	c.reader.FieldsPerRecord = -1
	c.reader.ReuseRecord = true
	c.delimit(delimiter)
	return c
}

func (c *csvRows) delimit(by rune) {
	c.reader.Comma, c.reading.Delimiter = by, table.DelimiterNames[by]
}

func (c *csvRows) Read() table.Reading { return c.reading }

func (c *csvRows) Next() (table.Record, error) {
	for {
		c.allowed.Renew()
		cells, err := c.reader.Read()
		var quotes *csv.ParseError
		if errors.As(err, &quotes) {
			return c.unpaired(quotes)
		}
		if err != nil {
			if errors.Is(err, io.EOF) {
				c.remarkCut()
			}
			return table.Record{Line: c.last + 1}, err
		}
		line, _ := c.reader.FieldPos(0)
		c.last = c.before + line
		for i, cell := range cells {
			cells[i] = Refuse(cell)
		}
		if !table.Blank(cells) {
			c.widths.add(cells)
			return table.Record{Line: c.last, Cells: cells}, nil
		}
	}
}

// unpaired returns the fault of a row whose quotation marks do not pair up. Within
// one line reading can go on after it; otherwise it is not known where the next row
// begins.
func (c *csvRows) unpaired(e *csv.ParseError) (table.Record, error) {
	c.last = c.before + e.StartLine
	f := table.Unreadable(`the quotation marks of the row do not pair up; write a cell that has one as "5"" wide"`)
	f.Ends = e.Line != e.StartLine
	return table.Record{Line: c.last}, f
}
