package importer

import (
	"fmt"
	"io"

	"standin"
	"standin/importer/table"
)

// lastByte remembers the last byte that was read.
type lastByte struct {
	io.Reader
	value byte
}

func (l *lastByte) Read(p []byte) (int, error) {
	n, err := l.Reader.Read(p)
	if n > 0 {
		l.value = p[n-1]
	}
	return n, err
}

// widths is how many cells the rows of a table have.
type widths struct {
	rows, header, last int
	short              int  // rows with fewer cells than the header, the last left out
	filled             bool // the last cell of the last row has something in it
}

func (w *widths) add(cells []string) {
	if w.rows > 1 && w.last < w.header {
		w.short++
	}
	if w.rows++; w.rows == 1 {
		for i, cell := range cells {
			if table.Trim(cell) != "" {
				w.header = i + 1
			}
		}
	}
	w.last, w.filled = len(cells), table.Trim(cells[len(cells)-1]) != ""
}

// remarkCut warns of a table that seems to have been cut within its last row: a row
// that is shorter than all the others, or that has no line end. Some programs leave
// out the last line end; then nothing is missing, unless the row ends within a cell.
func (c *csvRows) remarkCut() {
	w := c.widths
	ended := c.end.value == '\n' || c.end.value == '\r' || c.end.value == 0 && w.rows == 0
	isShort := w.last < w.header
	if w.rows < 2 || !(isShort && (w.short == 0 && w.rows > 2 || !ended) || !ended && w.filled) {
		return
	}
	said := "the last line has no line end"
	if isShort {
		said = fmt.Sprintf("the last row has %s, the header %d", table.Count(w.last, "cell"), w.header)
	}
	c.reading.Remarks = append(c.reading.Remarks, &table.Fault{Code: standin.CutShort, Line: c.last,
		Message: said + ": was the file cut off? See that its last row is whole and that it is the last of the original"})
}
