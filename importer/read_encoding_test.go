package importer

import (
	"bytes"
	"encoding/binary"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"unicode/utf16"

	"golang.org/x/text/encoding/charmap"
)

func utf16Bytes(order binary.ByteOrder, mark bool, text string) string {
	var b bytes.Buffer
	units := utf16.Encode([]rune(text))
	if mark {
		units = append([]uint16{0xfeff}, units...)
	}
	for _, u := range units {
		var two [2]byte
		order.PutUint16(two[:], u)
		b.Write(two[:])
	}
	return b.String()
}

// Every way in which text may come, and what it is read as.
func TestEncodings(t *testing.T) {
	t.Parallel()
	const text = "brand,model\nMärz,Ø 40 – ½ €\n𝄞 clef,x\n"
	const western = "brand,model\nMärz,Ø 40 – ½ €\n"
	windows1252, err := charmap.Windows1252.NewEncoder().String(western)
	if err != nil {
		t.Fatal(err)
	}
	latin2, err := charmap.ISO8859_2.NewEncoder().String("brand,model\nŁódź,č\n")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, bytes, other, encoding, want string }{
		{"UTF-8", text, "", "UTF-8", text},
		{"UTF-8 with a mark", "\xef\xbb\xbf" + text, "", "UTF-8", text},
		{"ASCII", "brand,model\n", "", "UTF-8", "brand,model\n"},
		{"UTF-16LE with a mark", utf16Bytes(binary.LittleEndian, true, text), "", "UTF-16LE", text},
		{"UTF-16BE with a mark", utf16Bytes(binary.BigEndian, true, text), "", "UTF-16BE", text},
		{"UTF-16LE without", utf16Bytes(binary.LittleEndian, false, text), "", "UTF-16LE", text},
		{"UTF-16BE without", utf16Bytes(binary.BigEndian, false, text), "", "UTF-16BE", text},
		{"Windows-1252", windows1252, "", "windows-1252", western},
		{"Windows-1252 named", windows1252, "cp1252", "windows-1252", western},
		{"ISO 8859-2 named", latin2, "ISO-8859-2", "iso-8859-2", "brand,model\nŁódź,č\n"},
		{"UTF-8 in spite of a name", text, "iso-8859-2", "UTF-8", text},
		{"a character cut by the end", "brand,model\nM\xc3", "", "windows-1252", "brand,model\nMÃ"},
		{"empty", "", "", "UTF-8", ""},
	} {
		other, err := otherCharset(c.other)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range []io.Reader{strings.NewReader(c.bytes), iotest.OneByteReader(strings.NewReader(c.bytes))} {
			set, err := detect(r, other)
			if err != nil || set.name != c.encoding {
				t.Errorf("%s: detected %s (%v), want %s", c.name, set.name, err, c.encoding)
				continue
			}
			decoded, err := set.decode(strings.NewReader(c.bytes))
			if err != nil {
				t.Fatal(err)
			}
			if got, err := io.ReadAll(decoded); err != nil || string(got) != c.want {
				t.Errorf("%s: read as %q (%v), want %q", c.name, got, err, c.want)
			}
		}
	}
}

// A character that lies across the border of two chunks is no error, and one
// wrong byte behind many right ones is seen.
func TestEncodingAcrossChunks(t *testing.T) {
	t.Parallel()
	other, _ := otherCharset("")
	for shift := range 5 {
		text := strings.Repeat("x", shift) + strings.Repeat("€½𝄞", chunk/4)
		if set, err := detect(strings.NewReader(text), other); err != nil || set.name != "UTF-8" {
			t.Errorf("shifted by %d: %s (%v)", shift, set.name, err)
		}
		if set, err := detect(strings.NewReader(text+"\xe4"), other); err != nil || set.name != "windows-1252" {
			t.Errorf("shifted by %d, with a wrong byte: %s (%v)", shift, set.name, err)
		}
	}
}

func TestUnknownEncoding(t *testing.T) {
	t.Parallel()
	if _, err := otherCharset("klingon"); err == nil || !strings.Contains(err.Error(), `"klingon"`) {
		t.Errorf("otherCharset(klingon): %v", err)
	}
}
