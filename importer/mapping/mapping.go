package mapping

import (
	_ "embed"
	"math/big"
	"regexp"

	"standin"
	"standin/importer/table"
)

// Schema is the JSON schema of mapping files.
//
//go:embed mapping.schema.json
var Schema []byte

// BadMapping is the code of what is wrong with a mapping itself.
const BadMapping = "bad-mapping"

// Mapping says how a supplier's table becomes rows of bundle files. The schema
// documents it; every key there has its field here.
type Mapping struct {
	name      string // of its file
	sheet     string // empty: the first that is not hidden
	header    []int  // rows; none: the first that has anything in it
	headless  bool   // the table has no header; its columns are named by their letters
	delimiter rune   // of a CSV file; 0: detected
	entries   []entry

	skip     table.Spans
	starting []string // beginnings of rows that are no data, folded
	repeated bool     // rows that repeat the header are no data
	sections []section
	notes    *footnotes
	pivot    *pivot
}

// entry says how a row of the table becomes rows of one file.
type entry struct {
	line      int
	file      standin.File
	onlyWith  []ref    // rows in which one of them is empty give none
	onlyWhere []choice // rows in which one of them says something else give none
	mayLack   []int    // columns of the file: a row of it in which one is empty is none
	cells     []*cell
}

// choice is a column with what it must say, folded.
type choice struct {
	ref
	says []string
}

// cell says where a column of a file comes from. It has exactly one of constant,
// template and from. A value is read in the order of the fields from match on.
type cell struct {
	line     int // of the mapping
	column   standin.Column
	constant string
	template []piece
	from     []ref

	down   bool // an empty cell has the value of the one above
	empty  string
	split  []string // separators of several values, each of which gives a row
	prefix prefix

	match     *regexp.Regexp // its group is the value
	side      side           // of a span
	list      []string       // separators of words
	join      string         // between several columns
	translate map[string]string
	keep      bool // a value without a translation, or that does not match, stays as it is
	blank     bool // … is taken for an empty cell
	dates     []dateForm
	comma     bool   // the decimal sign is a comma
	thousands string // what parts thousands; empty: nothing, or with a decimal comma a point
	units     []unit
	factor    *big.Rat // nil: 1
	ticks     *ticks
	crosses   *crosses
}

// unit is what may stand behind a number, and by what the number is multiplied then.
type unit struct {
	name   string
	factor *big.Rat // nil: that of the cell
}

// ref is a column of the supplier's table: by its header, or by its letters.
type ref struct {
	header string
	letter int // counted from 0; -1: by its header
}

// piece is part of a template: text, or the column to be put there.
type piece struct {
	text string
	from *ref
}

// prefix says how later values of a split cell are shortened.
type prefix string

const (
	wholePrefix  prefix = ""       // they are not
	wordsPrefix  prefix = "words"  // they lack the words before the last one
	lengthPrefix prefix = "length" // they replace as many characters at the end as they have
)

func (r ref) String() string {
	if r.letter >= 0 {
		return "column " + table.ColumnLetters(r.letter)
	}
	return r.header
}

// refs returns all columns that an entry reads.
func (e entry) refs() []ref {
	all := e.onlyWith[:len(e.onlyWith):len(e.onlyWith)]
	for _, c := range e.onlyWhere {
		all = append(all, c.ref)
	}
	for _, c := range e.cells {
		if c == nil {
			continue
		}
		all = append(all, c.from...)
		for _, p := range c.template {
			if p.from != nil {
				all = append(all, *p.from)
			}
		}
	}
	return all
}

// refs returns the columns that the table is shaped by.
func (m *Mapping) refs() []ref {
	var all []ref
	for _, s := range m.sections {
		all = append(all, s.ref)
	}
	if m.pivot != nil {
		all = append(append(all, m.pivot.by...), m.pivot.name, m.pivot.value)
	}
	return all
}

// added returns the names of the columns that the mapping adds to those of the table.
func (m *Mapping) added() []string {
	var names []string
	for _, s := range m.sections {
		names = append(names, s.name)
	}
	if m.pivot != nil {
		names = append(names, m.pivot.columns...)
	}
	if m.notes != nil && m.notes.as != "" {
		names = append(names, m.notes.as)
	}
	return names
}
