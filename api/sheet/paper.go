package sheet

import (
	"bytes"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"codeberg.org/go-pdf/fpdf"

	"standin/api/locale"
)

// The face of everything printed.
const (
	face    = "face"
	regular = ""
	bold    = "B"
)

// millimetres of a point of type.
const point = 25.4 / 72

// paper is what is drawn on. Lengths are in millimetres from the top left, type
// is in points. Every text that is measured or drawn is made printable first:
// the library fails at what is not.
type paper struct {
	pdf    *fpdf.Fpdf
	say    func(english string) string
	style  string
	points float64
}

func newPaper(width, height float64, title string, language locale.Language) *paper {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: width, Ht: height}})
	pdf.SetAutoPageBreak(false, 0)
	// The same job is the same bytes: nothing of it is of the hour it is printed.
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(time.Unix(0, 0).UTC())
	pdf.SetModificationDate(time.Unix(0, 0).UTC())
	pdf.SetProducer("standin", true)
	pdf.SetTitle(printable(language.Say(title)), true)
	pdf.SetLang(language.String())
	pdf.AddUTF8FontFromBytes(face, regular, dejavusanscondensed.TTF)
	pdf.AddUTF8FontFromBytes(face, bold, dejavusanscondensedbold.TTF)
	return &paper{pdf: pdf, say: language.Say}
}

// bytes is the document.
func (p *paper) bytes() ([]byte, error) {
	var b bytes.Buffer
	err := p.pdf.Output(&b)
	return b.Bytes(), err
}

func (p *paper) set(style string, points float64) {
	if p.style != style || p.points != points {
		p.pdf.SetFont(face, style, points)
		p.style, p.points = style, points
	}
}

// newPage begins a page, on which nothing is set yet.
func (p *paper) newPage() {
	p.pdf.AddPage()
	p.style, p.points = "none", 0
}

// width is that of a text on one line.
func (p *paper) width(text, style string, points float64) float64 {
	p.set(style, points)
	return p.pdf.GetStringWidth(printable(text))
}

// text draws one line, its capitals hanging from y.
func (p *paper) text(x, y float64, text, style string, points float64) {
	p.set(style, points)
	p.pdf.Text(x, y+points*point*capitals, printable(text))
}

// capitals are as high as this share of the type size, with a little air above.
const capitals = 0.86

// box draws the outline of a rectangle.
func (p *paper) box(x, y, width, height, line float64) {
	p.pdf.SetLineWidth(line)
	p.pdf.Rect(x, y, width, height, "D")
}

// fill blackens a rectangle.
func (p *paper) fill(x, y, width, height float64) {
	p.pdf.SetFillColor(0, 0, 0)
	p.pdf.Rect(x, y, width, height, "F")
}

// line draws a level line.
func (p *paper) line(x, y, width, thick float64) {
	p.pdf.SetLineWidth(thick)
	p.pdf.Line(x, y, x+width, y)
}

// dashed draws a level line of dashes.
func (p *paper) dashed(x, y, width float64) {
	p.pdf.SetDashPattern([]float64{3, 2}, 0)
	p.line(x, y, width, 0.4)
	p.pdf.SetDashPattern(nil, 0)
}

// wrap breaks a text into lines of a width at most: at spaces, and inside a word
// only where it is wider than a line. The text is said before, as the one of shortened is.
func (p *paper) wrap(text, style string, points, width float64) []string {
	var lines []string
	line, used := "", 0.0
	space := p.width(" ", style, points)
	for word := range strings.FieldsFuncSeq(printable(p.say(text)), func(r rune) bool { return r == ' ' }) {
		needs := p.width(word, style, points)
		if line != "" && used+space+needs <= width {
			line, used = line+" "+word, used+space+needs
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		if needs > width {
			pieces := p.cut(word, style, points, width)
			lines = append(lines, pieces[:len(pieces)-1]...)
			word = pieces[len(pieces)-1]
			needs = p.width(word, style, points)
		}
		line, used = word, needs
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// cut is a word in pieces of a width at most, each of one character at least.
func (p *paper) cut(word, style string, points, width float64) []string {
	var pieces []string
	for p.width(word, style, points) > width && utf8.RuneCountInString(word) > 1 {
		end := 0
		for at, r := range word {
			if next := at + utf8.RuneLen(r); at == 0 || p.width(word[:next], style, points) <= width {
				end = next
				continue
			}
			break
		}
		pieces = append(pieces, word[:end])
		word = word[end:]
	}
	return append(pieces, word)
}

// shortened is a text cut to a width, with dots where something is missing.
func (p *paper) shortened(text, style string, points, width float64) string {
	text = printable(p.say(text))
	if p.width(text, style, points) <= width {
		return text
	}
	pieces := p.cut(text, style, points, width-p.width("…", style, points))
	return pieces[0] + "…"
}

// unbroken is a space at which no line is broken: between a figure and its unit.
const unbroken = '\u00a0'

// printable is a text as the library can print it: valid UTF-8 of the basic
// plane, without control characters or marks that would turn it round.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r > math.MaxUint16:
			return unicode.ReplacementChar
		case r != unbroken && (unicode.IsControl(r) || unicode.IsSpace(r)):
			return ' '
		case unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, string(unicode.ReplacementChar)))
}
