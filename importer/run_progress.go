package importer

import (
	"io"
	"iter"

	"standin"
)

// Phase is a part of an import.
type Phase string

// The phases, in their order.
const (
	PhaseReading  Phase = "reading"
	PhaseChecking Phase = "checking"
	PhaseWriting  Phase = "writing"
)

// Progress is how far an import is.
type Progress struct {
	Phase Phase
	File  string  // that is being read, as it is named in the bundle
	Rows  int     // read up to now, of all files; while writing, those that change
	Share float64 // of the bytes that are to be read; 0 where that is not known
}

// everyRows is the number of rows between two reports of progress.
const everyRows = 1000

// progress reports how far an import is, where that is wanted.
type progress struct {
	tell  func(Progress)
	now   Progress
	bytes int64 // read up to now
	total int64 // to be read
}

// newProgress counts what is read of the files of a bundle. Each is read twice, for
// its encoding and for its rows.
func newProgress(tell func(Progress), files []file) *progress {
	p := &progress{tell: tell}
	if tell == nil {
		p.tell = func(Progress) {}
		return p
	}
	for i := range files {
		f := &files[i]
		if f.sheet != nil {
			continue // a workbook is small
		}
		p.total += 2 * f.size
		open := f.open
		f.open = func() (io.ReadCloser, error) {
			in, err := open()
			return counted{in, &p.bytes}, err
		}
	}
	return p
}

// counted is a reader that counts.
type counted struct {
	io.ReadCloser
	bytes *int64
}

func (c counted) Read(b []byte) (int, error) {
	n, err := c.ReadCloser.Read(b)
	*c.bytes += int64(n)
	return n, err
}

// counting returns the rows of a file and counts them as they are read.
func (p *progress) counting(name string, rows iter.Seq2[standin.Row, error]) iter.Seq2[standin.Row, error] {
	return func(yield func(standin.Row, error) bool) {
		p.now.Phase, p.now.File = PhaseReading, name
		p.tell(p.now)
		for row, err := range rows {
			if p.now.Rows++; p.now.Rows%everyRows == 0 {
				if p.total > 0 {
					p.now.Share = min(1, float64(p.bytes)/float64(p.total))
				}
				p.tell(p.now)
			}
			if !yield(row, err) {
				return
			}
		}
	}
}

// enter reports that a phase with so many rows begins.
func (p *progress) enter(phase Phase, rows int) {
	p.now = Progress{Phase: phase, Rows: rows}
	p.tell(p.now)
}
