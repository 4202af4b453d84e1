package importer

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"io"
	"io/fs"

	"standin"
)

// longestRow is how many bytes one row may have, embedded lines included. It
// bounds the memory, and the damage of a quotation mark that is never closed.
const longestRow = 1 << 20

const longRow = "the row is longer than 1024 KiB; probably a quotation mark before it is never closed"

// csvTable is a CSV file of a bundle as a table.
func csvTable(f file, description standin.File, other charset) table {
	known := func(name string) bool {
		_, known := description.Column(normal(name))
		return known
	}
	return table{file: description, name: f.name, open: func(ctx context.Context) (rows, error) {
		return openCSV(ctx, f, known, 0, other)
	}}
}

// openCSV reads the file twice: through it once for its encoding, then row by
// row. The columns that are known decide what delimits its cells, unless that is
// told.
func openCSV(ctx context.Context, f file, known func(string) bool, delimiter rune, other charset) (rows, error) {
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

// openText is the text of a file, what is to be closed after it is read, and the
// encoding it is in.
func openText(ctx context.Context, f file, other charset) (io.Reader, io.Closer, charset, error) {
	set, err := charsetOf(ctx, f, other)
	if err != nil {
		return nil, nil, set, err
	}
	in, err := f.open()
	if err != nil {
		return nil, nil, set, err
	}
	text, err := set.decode(untilDone{ctx, in})
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
	return detect(untilDone{ctx, in}, other)
}

// csvRows reads the rows of CSV text.
type csvRows struct {
	io.Closer
	reader  *csv.Reader
	allowed *allowance
	reading Reading
	before  int // lines before those that reader counts
	last    int // line of the last row
}

func newCSVRows(text io.Reader, known func(string) bool) *csvRows {
	c := &csvRows{allowed: &allowance{from: text, most: longestRow, said: longRow}, Closer: io.NopCloser(nil)}
	c.allowed.renew()
	buffered := bufio.NewReaderSize(c.allowed, chunk)
	sample, _ := buffered.Peek(chunk) // an error comes again when it is read
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
	c.reader.Comma, c.reading.Delimiter = by, delimiterNames[by]
}

func (c *csvRows) Read() Reading { return c.reading }

func (c *csvRows) Next() (record, error) {
	for {
		c.allowed.renew()
		cells, err := c.reader.Read()
		var quotes *csv.ParseError
		if errors.As(err, &quotes) {
			return c.unpaired(quotes)
		}
		if err != nil {
			return record{line: c.last + 1}, err
		}
		line, _ := c.reader.FieldPos(0)
		c.last = c.before + line
		for i, cell := range cells {
			cells[i] = Refuse(cell)
		}
		if !blank(cells) {
			return record{line: c.last, cells: cells}, nil
		}
	}
}

// unpaired is the fault of a row whose quotation marks do not pair up. Within
// one line the damage ends there; else nobody knows where the next row begins.
func (c *csvRows) unpaired(e *csv.ParseError) (record, error) {
	c.last = c.before + e.StartLine
	f := unreadable(`the quotation marks of the row do not pair up; write a cell that has one as "5"" wide"`)
	f.ends = e.Line != e.StartLine
	return record{line: c.last}, f
}

func blank(cells []string) bool {
	for _, cell := range cells {
		if trim(cell) != "" {
			return false
		}
	}
	return true
}

// allowance lets through so many bytes, and what a buffer reads ahead, between
// one renewal and the next. Its errors stay.
type allowance struct {
	from io.Reader
	most int
	said string // where there are more
	left int
	err  error
}

func (a *allowance) renew() { a.left = a.most }

func (a *allowance) Read(p []byte) (int, error) {
	if a.err != nil {
		return 0, a.err
	}
	if a.left <= 0 {
		a.err = unreadable("%s", a.said)
		return 0, a.err
	}
	n, err := a.from.Read(p)
	a.left -= n
	a.err = err
	return n, err
}

// faultOf is an error of reading a file as what is said of the file.
func faultOf(err error) *fault {
	var f *fault
	switch {
	case errors.As(err, &f):
		return f
	case errors.Is(err, fs.ErrPermission):
		return unreadable("the file may not be read; ask its owner for permission to read it")
	}
	return unreadable("the file cannot be read to its end: %s", err)
}
