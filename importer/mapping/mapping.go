package mapping

import (
	_ "embed"

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
	skip      table.Spans
	delimiter rune // of a CSV file; 0: detected
	entries   []entry
}

// entry says how a row of the table becomes rows of one file.
type entry struct {
	line     int
	file     standin.File
	onlyWith []ref // rows in which one of them is empty give none
	cells    []*cell
}

// cell says where a column of a file comes from. It has exactly one of constant,
// template and from.
type cell struct {
	line     int // of the mapping
	column   standin.Column
	constant string
	template []piece
	from     []ref

	down      bool // an empty cell has the value of the one above
	empty     string
	split     []string // separators of several values, each of which gives a row
	prefix    prefix
	list      []string // separators of words
	join      string   // between several columns
	translate map[string]string
	keep      bool // a value without a translation stays as it is
	dates     []dateForm
	comma     bool // the decimal sign is a comma
	units     []string
	ticks     *ticks
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
	all := e.onlyWith
	for _, c := range e.cells {
		if c == nil {
			continue
		}
		all = append(all[:len(all):len(all)], c.from...)
		for _, p := range c.template {
			if p.from != nil {
				all = append(all, *p.from)
			}
		}
	}
	return all
}
