package sheet

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"

	"standin/importer/table"
)

// mostText is how many bytes the shared texts of a workbook may have: they are
// kept while its sheets are read.
const mostText = 128 << 20

const textOverhead = 4 // bytes that a text takes beside itself

// texts are the texts that the cells of a workbook share, by their number.
type texts struct {
	all string
	end []uint32
}

func (t *texts) at(i int) (string, bool) {
	if i < 0 || i >= len(t.end) {
		return "", false
	}
	start := uint32(0)
	if i > 0 {
		start = t.end[i-1]
	}
	return t.all[start:t.end[i]], true
}

// sharedTexts reads the texts once.
func (w *Workbook) sharedTexts() (*texts, error) {
	if w.texts != nil {
		return w.texts, nil
	}
	main, err := w.mainPart()
	if err != nil {
		return nil, err
	}
	links, err := w.links(main)
	if err != nil {
		return nil, err
	}
	t := &texts{}
	for _, l := range links {
		if part := w.parts[strings.ToLower(l.part)]; part != nil && strings.HasSuffix(l.kind, "/sharedStrings") {
			in, err := table.Unpack(part)
			if err != nil {
				return nil, err
			}
			defer in.Close()
			if err := t.read(in); err != nil {
				return nil, err
			}
		}
	}
	w.texts = t
	return t, nil
}

func (t *texts) read(in io.Reader) error {
	limit := table.NewAllowance(in, mostOfRow, hugeCell)
	decoder := xml.NewDecoder(limit)
	var all strings.Builder
	for {
		limit.Renew()
		token, err := decoder.RawToken()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return damaged(err)
		}
		if start, ok := token.(xml.StartElement); ok && start.Name.Local == "si" {
			text, err := richText(decoder, "si")
			if err != nil {
				return damaged(err)
			}
			if all.Len()+len(text)+textOverhead*len(t.end) > mostText {
				return table.Unreadable("the workbook holds more than %d MiB of text; save its sheets as CSV", mostText>>20)
			}
			all.WriteString(text)
			t.end = append(t.end, uint32(all.Len()))
		}
	}
	t.all = all.String()
	return nil
}

// richText is the text up to the end of the element, its runs put together. How
// it is pronounced is no part of it.
func richText(decoder *xml.Decoder, element string) (string, error) {
	var text strings.Builder
	inText, spoken := false, false
	for {
		token, err := decoder.RawToken()
		if err != nil {
			return "", err
		}
		switch token := token.(type) {
		case xml.StartElement:
			inText = token.Name.Local == "t"
			spoken = spoken || token.Name.Local == "rPh"
		case xml.CharData:
			if inText && !spoken {
				text.Write(token)
			}
		case xml.EndElement:
			inText = false
			switch token.Name.Local {
			case "rPh":
				spoken = false
			case element:
				return unescaped(text.String()), nil
			}
		}
	}
}

var escaped = regexp.MustCompile(`_x[0-9A-Fa-f]{4}_`)

// unescaped has the characters that XML cannot hold, which are written _x000D_
// (ECMA-376 part 1, 22.9.2.19).
func unescaped(text string) string {
	if !strings.Contains(text, "_x") {
		return text
	}
	return escaped.ReplaceAllStringFunc(text, func(code string) string {
		r, err := strconv.ParseUint(code[2:6], 16, 32)
		if err != nil {
			return code
		}
		return string(rune(r))
	})
}

// damaged returns the fault of XML that cannot be read.
func damaged(err error) error {
	var f *table.Fault
	var syntax *xml.SyntaxError
	switch {
	case errors.As(err, &f):
		return f
	case errors.As(err, &syntax), errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return table.Unreadable("the workbook is damaged; save it again")
	}
	return err
}
