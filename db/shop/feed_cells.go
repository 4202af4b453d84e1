package shop

import (
	"encoding/json"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// changedColumns are the columns of a file as its changes have them.
type changedColumns struct{ keys, all cells }

// cells says how the cells of a row are written as JSON.
type cells struct {
	columns []cellColumn
	arrays  *pgtype.Map // reads arrays
}

type cellColumn struct {
	name string // as JSON, with the colon
	kind standin.Kind
}

func cellsOf(f standin.File, columns []string, arrays *pgtype.Map) cells {
	all := cells{make([]cellColumn, len(columns)), arrays}
	for i, name := range columns {
		c, _ := f.Column(name) // one that there is no more holds text
		all.columns[i] = cellColumn{string(appendJSON(nil, name)) + ":", c.Kind}
	}
	return all
}

// asJSON returns a row as a JSON object without what is not recorded, nil where there
// is no row.
func (c cells) asJSON(row []pgtype.Text) json.RawMessage {
	if row == nil {
		return nil
	}
	text := append(make([]byte, 0, 40*len(row)), '{')
	for i, cell := range row[:min(len(row), len(c.columns))] {
		if !cell.Valid {
			continue
		}
		if len(text) > 1 {
			text = append(text, ',')
		}
		text = append(text, c.columns[i].name...)
		switch c.columns[i].kind {
		case standin.Integer, standin.Number:
			text = append(text, cell.String...)
		case standin.Words, standin.CodeCell, standin.Numbers:
			text = c.appendList(text, cell.String, c.columns[i].kind == standin.Numbers)
		default:
			text = appendJSON(text, cell.String)
		}
	}
	return append(text, '}')
}

// appendList appends an array as PostgreSQL writes it as a list of texts or numbers.
func (c cells) appendList(text []byte, array string, numbers bool) []byte {
	var items []string
	if err := c.arrays.Scan(pgtype.TextArrayOID, pgx.TextFormatCode, []byte(array), &items); err != nil {
		return appendJSON(text, array)
	}
	if numbers {
		return append(append(append(text, '['), strings.Join(items, ",")...), ']')
	}
	text = append(text, '[')
	for i, item := range items {
		if i > 0 {
			text = append(text, ',')
		}
		text = appendJSON(text, item)
	}
	return append(text, ']')
}

// appendJSON appends text as JSON.
func appendJSON(text []byte, s string) []byte {
	if !strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r > '~' }) {
		return strconv.AppendQuote(text, s) // as JSON quotes such text, in a fifth of the time
	}
	quoted, _ := json.Marshal(s) // strings always encode
	return append(text, quoted...)
}
