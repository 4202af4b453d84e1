package importer

import (
	"bytes"
	"errors"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"standin"
	"standin/importer/table"
)

// defaultEncoding is the encoding assumed for text that is neither UTF-8 nor UTF-16.
const defaultEncoding = "windows-1252"

const chunk = 64 << 10 // bytes looked at in one go

// charset is how the bytes of a file become text.
type charset struct {
	name string
	mark int               // bytes of a byte order mark to skip
	from encoding.Encoding // nil: it is UTF-8 already
}

var (
	utf8Set  = charset{name: "UTF-8"}
	utf16LE  = charset{name: "UTF-16LE", from: unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)}
	utf16BE  = charset{name: "UTF-16BE", from: unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)}
	withMark = []struct {
		mark string
		set  charset
	}{{"\xef\xbb\xbf", utf8Set}, {"\xff\xfe", utf16LE}, {"\xfe\xff", utf16BE}}
)

// otherCharset returns the encoding that browsers know by a name, the default for an
// empty name.
func otherCharset(name string) (charset, error) {
	if name == "" {
		name = defaultEncoding
	}
	from, err := htmlindex.Get(name)
	if err != nil {
		return charset{}, &standin.Error{Code: standin.CodeBadRequest, Field: "encoding",
			Message: table.Quoted(name) + " is not an encoding; write for example windows-1252, iso-8859-2 or shift_jis"}
	}
	if canonical, err := htmlindex.Name(from); err == nil {
		name = canonical
	}
	return charset{name: name, from: from}, nil
}

// decode returns r as UTF-8 without a byte order mark.
func (c charset) decode(r io.Reader) (io.Reader, error) {
	if _, err := io.CopyN(io.Discard, r, int64(c.mark)); err != nil {
		return nil, err
	}
	if c.from == nil {
		return r, nil
	}
	return transform.NewReader(r, c.from.NewDecoder()), nil
}

// detect reads through r and says how its bytes are to be read: by their byte
// order mark, by the zeros that UTF-16 leaves between Latin letters, as UTF-8
// where all of it is valid, else as the other encoding. What is not text is a
// *table.Fault.
func detect(r io.Reader, other charset) (charset, error) {
	head := make([]byte, chunk)
	n, err := io.ReadFull(r, head)
	head = head[:n]
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return charset{}, err
	}
	const mimeType = 100 // bytes in which an OpenDocument file has it (OpenDocument 1.3 part 2, 3.3)
	if bytes.Contains(head[:min(mimeType, len(head))], []byte("opendocument.spreadsheet")) {
		return charset{}, table.Unreadable("the file is an OpenDocument spreadsheet (.ods), which is not read; save it as .xlsx")
	}
	if kind := noTable(head); kind != "" {
		return charset{}, table.Unreadable("the file is %s, not CSV text; save it as CSV", kind)
	}
	for _, w := range withMark {
		if bytes.HasPrefix(head, []byte(w.mark)) {
			w.set.mark = len(w.mark)
			return w.set, nil
		}
	}
	if set, ok := byZeros(head); ok {
		return set, nil
	}
	return scan(io.MultiReader(bytes.NewReader(head), r), other)
}

// noTable names the kind of file that the first bytes show, "" for what may be CSV.
func noTable(head []byte) string {
	for _, k := range []struct{ start, kind string }{
		{"PK\x03\x04", "a spreadsheet or a zip"},
		{"\xd0\xcf\x11\xe0", "an old spreadsheet"},
		{"\x89PNG", "a picture"},
		{"\xff\xd8\xff", "a picture"},
		{"%PDF-", "a PDF"},
		{"\x1f\x8b", "a compressed file"},
		{"\xff\xfe\x00\x00", "UTF-32 text"},
		{"\x00\x00\xfe\xff", "UTF-32 text"},
	} {
		if bytes.HasPrefix(head, []byte(k.start)) {
			return k.kind
		}
	}
	return ""
}

// byZeros recognises UTF-16 without a mark: at least a third of its units are
// Latin, with a zero as their high byte, and hardly any with one as their low.
func byZeros(head []byte) (charset, bool) {
	var zeros [2]int
	for i, b := range head {
		if b == 0 {
			zeros[i%2]++
		}
	}
	units := len(head) / 2
	switch even, odd := zeros[0], zeros[1]; {
	case odd > 0 && 3*odd >= units && 20*even <= odd:
		return utf16LE, true
	case even > 0 && 3*even >= units && 20*odd <= even:
		return utf16BE, true
	}
	return charset{}, false
}

// scan reads all of r, a chunk at a time: UTF-8 where all of it is valid, else
// the other. A zero byte is a *table.Fault.
func scan(r io.Reader, other charset) (charset, error) {
	buffer := make([]byte, chunk)
	set, kept, line := utf8Set, 0, 1
	for {
		n, err := r.Read(buffer[kept:])
		fresh := buffer[kept : kept+n]
		if zero := bytes.IndexByte(fresh, 0); zero >= 0 {
			line += bytes.Count(fresh[:zero], []byte{'\n'})
			f := table.Unreadable("the line holds a zero byte, so the file is not CSV text; save it as CSV")
			f.Line = line
			return charset{}, f
		}
		line += bytes.Count(fresh, []byte{'\n'})
		whole := buffer[:kept+n]
		end := len(whole)
		if err == nil {
			end = wholeRunes(whole)
		}
		if set.from == nil && !utf8.Valid(whole[:end]) {
			set = other
		}
		kept = copy(buffer, whole[end:])
		if errors.Is(err, io.EOF) {
			return set, nil
		}
		if err != nil {
			return charset{}, err
		}
	}
}

// wholeRunes returns the length of b without a character that is incomplete at its
// end.
func wholeRunes(b []byte) int {
	for i := 1; i < utf8.UTFMax && i <= len(b); i++ {
		if start := len(b) - i; utf8.RuneStart(b[start]) {
			if !utf8.FullRune(b[start:]) {
				return start
			}
			break
		}
	}
	return len(b)
}
