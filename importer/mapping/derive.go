package mapping

import (
	"context"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"

	"standin"
	"standin/importer/table"
)

// mostHeld is how many bytes the rows of one file that a table becomes may
// have: they are kept, so that equal ones can be merged.
const mostHeld = 128 << 20

// between parts the cells of a row that is kept. Cells hold no control
// characters; one that does is taken for faulty before.
const between = "\x1f"

// held is a derived row of a file.
type held struct {
	line   int
	cells  string // with between between them
	faulty uint32 // cells of which it was said that they are wrong, a bit each
	absent uint32 // cells that no entry that makes the row maps
}

// derived are the rows of one file that a supplier's table becomes, equal ones
// once.
type derived struct {
	supplied *Supplied
	file     standin.File
	mapped   []int // the columns of the file that some entry maps
	reading  table.Reading
	rows     []held
	of       map[string]int // rows by their key
	bytes    int
	faults   []table.Record // of rows that could not be read
	errors   []error
	next     int
	headed   bool
	record   table.Record
}

// derive reads the supplier's table once for one file.
func (s *Supplied) derive(ctx context.Context, file standin.File) (table.Rows, error) {
	opened, header, err := s.open(ctx)
	if err != nil {
		return nil, err
	}
	defer opened.Close()
	in := s.shape(opened, header)
	d := &derived{supplied: s, file: file, of: map[string]int{}, record: table.Record{Wrong: map[int]*table.Fault{}}}
	var makers []*maker
	entries := s.entriesOf(file)
	for _, e := range entries {
		makers = append(makers, newMaker(s, e))
	}
	for c := range file.Columns {
		if slices.ContainsFunc(entries, func(e entry) bool { return e.cells[c] != nil }) {
			d.mapped = append(d.mapped, c)
		}
	}
	for {
		row, err := in.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var f *table.Fault
			if ctx.Err() != nil || !errors.As(err, &f) {
				return nil, err
			}
			d.faults, d.errors = append(d.faults, table.Record{Line: row.Line}), append(d.errors, err)
			if f.Ends {
				break
			}
			continue
		}
		if s.tooWide(row.Record) {
			continue
		}
		for _, m := range makers {
			for _, made := range m.rows(row) {
				d.add(made)
			}
		}
		if d.bytes > mostHeld {
			return nil, table.Unreadable("the table becomes more than %d MiB of %s; split it", mostHeld>>20, file.Name)
		}
	}
	d.reading = in.Read()
	return d, nil
}

// tooWide reports a row that has more cells than there are columns: they may
// have shifted, so none of them is believed.
func (s *Supplied) tooWide(r table.Record) bool {
	for at := s.width; at < len(r.Cells); at++ {
		if text := r.Cell(at); text != "" {
			s.report(table.TooManyCells(), r.Line, "", text)
			return true
		}
	}
	return false
}

// add keeps a row, or merges it into the one of the same key.
func (d *derived) add(m made) {
	var key []string
	for c, column := range d.file.Columns {
		if !column.Key {
			continue
		}
		if m.faulty&(1<<c) != 0 {
			return // it has no key, which is a finding already
		}
		key = append(key, m.cells[c])
	}
	name := strings.Join(key, between)
	if at, ok := d.of[name]; ok {
		d.merge(&d.rows[at], m)
		return
	}
	d.of[name] = len(d.rows)
	h := held{m.line, strings.Join(m.cells, between), m.faulty, m.absent}
	d.bytes += 2*len(h.cells) + 64
	d.rows = append(d.rows, h)
}

// merge fills what the row does not record. What both record must be the same.
func (d *derived) merge(h *held, m made) {
	cells := strings.Split(h.cells, between)
	for c, text := range m.cells {
		switch {
		case text == cells[c], text == "", m.faulty&(1<<c) != 0:
		case cells[c] == "":
			cells[c] = text
		case h.faulty&(1<<c) == 0:
			f := &table.Fault{Code: standin.DuplicateKey, Message: "the row says " + table.Quoted(text) + ", but line " + strconv.Itoa(h.line) + " says " +
				table.Quoted(cells[c]) + " of the same " + d.keyText(cells)}
			x, fresh := d.supplied.origin(d.file, f.At("", m.line, d.file.Columns[c].Name, text), 0)
			if fresh {
				d.supplied.out.Add(x)
			}
		}
	}
	h.faulty |= m.faulty
	h.absent &= m.absent
	h.cells = strings.Join(cells, between)
}

// keyText returns what a row is about, for people: model "X", "Y 1".
func (d *derived) keyText(cells []string) string {
	var words []string
	for c, column := range d.file.Columns {
		if column.Key && cells[c] != "" {
			words = append(words, cells[c])
		}
	}
	return "row of " + d.file.Name + ", " + table.Quoted(strings.Join(words, " "))
}

func (d *derived) Read() table.Reading { return d.reading }

func (d *derived) Close() error { return nil }

// Next returns the header, then the rows that could not be read, then the others.
func (d *derived) Next() (table.Record, error) {
	switch {
	case !d.headed:
		d.headed = true
		var names []string
		for _, c := range d.mapped {
			names = append(names, d.file.Columns[c].Name)
		}
		return table.Record{Line: d.supplied.line, Cells: names}, nil
	case len(d.errors) > 0:
		at, err := d.faults[0], d.errors[0]
		d.faults, d.errors = d.faults[1:], d.errors[1:]
		if f := table.FaultOf(err); f.Ends && d.next < len(d.rows) {
			stays := *f
			stays.Ends = false
			return at, &stays
		}
		return at, err
	case d.next == len(d.rows):
		return table.Record{}, io.EOF
	}
	h := d.rows[d.next]
	d.next++
	cells := strings.Split(h.cells, between)
	d.record.Line, d.record.Cells = h.line, d.record.Cells[:0]
	clear(d.record.Wrong)
	for at, c := range d.mapped {
		d.record.Cells = append(d.record.Cells, cells[c])
		switch {
		case h.faulty&(1<<c) != 0:
			d.record.Wrong[at] = table.Reported
		case h.absent&(1<<c) != 0:
			d.record.Wrong[at] = table.Absent
		}
	}
	return d.record, nil
}

// made is a row of a file while it is made.
type made struct {
	line   int
	cells  []string
	faulty uint32
	absent uint32 // not mapped
}

func (m made) clone() made {
	m.cells = slices.Clone(m.cells)
	return m
}
