package shop

import (
	"encoding/json"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// changedColumns are the columns of a file as its changes have them.
type changedColumns struct{ keys, all cells }

// cells says how the cells of a row are written as JSON.
type cells []struct {
	name string // as JSON, with the colon
	kind standin.Kind
}

func cellsOf(f standin.File, columns []string) cells {
	all := make(cells, len(columns))
	for i, name := range columns {
		c, _ := f.Column(name) // one that there is no more holds text
		all[i].name, all[i].kind = string(appendJSON(nil, name))+":", c.Kind
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
	for i, cell := range row[:min(len(row), len(c))] {
		if !cell.Valid {
			continue
		}
		if len(text) > 1 {
			text = append(text, ',')
		}
		text = append(text, c[i].name...)
		switch c[i].kind {
		case standin.Integer, standin.Number:
			text = append(text, cell.String...)
		case standin.Words, standin.CodeCell, standin.Numbers:
			text = appendList(text, cell.String, c[i].kind == standin.Numbers)
		default:
			text = appendJSON(text, cell.String)
		}
	}
	return append(text, '}')
}

// appendList appends an array as PostgreSQL writes it as a list of texts or numbers.
func appendList(text []byte, array string, numbers bool) []byte {
	var items []string
	if err := pgtype.NewMap().Scan(pgtype.TextArrayOID, pgx.TextFormatCode, []byte(array), &items); err != nil {
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
	quoted, _ := json.Marshal(s) // strings always encode
	return append(text, quoted...)
}
