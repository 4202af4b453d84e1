package draw

import (
	"encoding/xml"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// SVG is the drawing as a picture within a page. It takes the colour of the text
// around it; its classes say how lines are drawn. All boxes and lines of a kind are
// one path, which keeps a page small.
func (d *Drawing) SVG() string {
	var b strings.Builder
	b.Grow(512 + 24*len(d.Lines) + 24*len(d.Boxes) + 64*len(d.Texts))
	b.WriteString(`<svg class="drawing" role="img" viewBox="0 0 `)
	b.WriteString(figure(d.Width) + " " + figure(d.Height))
	b.WriteString(`" width="` + figure(d.Width) + `" height="` + figure(d.Height) + `"><title>`)
	escaped(&b, d.Title)
	b.WriteString("</title><desc>")
	escaped(&b, d.About)
	b.WriteString("</desc>")
	for _, of := range []struct {
		class  string
		stroke Stroke
		filled bool
	}{{"d-thin", Thin, false}, {"d-heavy", Heavy, false}, {"d-dashed", Dashed, false}, {"d-fill", Thin, true}} {
		d.path(&b, of.class, of.stroke, of.filled)
	}
	for i := range d.Texts {
		d.Texts[i].svg(&b)
	}
	b.WriteString("</svg>")
	return b.String()
}

// path is everything of one kind of stroke.
func (d *Drawing) path(b *strings.Builder, class string, stroke Stroke, filled bool) {
	empty := true
	next := func() *strings.Builder {
		if empty {
			b.WriteString(`<path class="` + class + `" d="`)
			empty = false
		}
		return b
	}
	for i := range d.Boxes {
		if box := &d.Boxes[i]; box.Filled == filled && (filled || box.Stroke == stroke) {
			box.path(next())
		}
	}
	for i := range d.Lines {
		if line := &d.Lines[i]; line.Filled == filled && (filled || line.Stroke == stroke) {
			line.path(next())
		}
	}
	if !empty {
		b.WriteString(`"/>`)
	}
}

func (x *Box) path(b *strings.Builder) {
	if x.Round {
		r := min(x.Width, x.Height) / 2
		arc := "a" + figure(r) + " " + figure(r) + " 0 0 1 "
		across, down := figure(x.Width-2*r), figure(x.Height-2*r)
		b.WriteString("M" + figure(x.X+r) + " " + figure(x.Y) + "h" + across + arc + figure(r) + " " + figure(r) + "v" + down +
			arc + figure(-r) + " " + figure(r) + "h-" + across + arc + figure(-r) + " " + figure(-r) + "v-" + down + arc + figure(r) + " " + figure(-r) + "z")
		return
	}
	b.WriteString("M" + figure(x.X) + " " + figure(x.Y) + "h" + figure(x.Width) + "v" + figure(x.Height) + "h" + figure(-x.Width) + "z")
}

func (l *Line) path(b *strings.Builder) {
	for i, p := range l.Points {
		b.WriteByte("ML"[min(i, 1)])
		b.WriteString(figure(p.X) + " " + figure(p.Y))
	}
	if l.Filled {
		b.WriteByte('z')
	}
}

var anchors = [...]string{Start: "", Middle: ` text-anchor="middle"`, End: ` text-anchor="end"`}

func (t *Text) svg(b *strings.Builder) {
	b.WriteString(`<text x="` + figure(t.X) + `" y="` + figure(t.Y) + `" font-size="` + figure(t.Size) + `"` + anchors[t.Anchor])
	if t.Bold {
		b.WriteString(` class="d-bold"`)
	}
	text := t.Text
	if t.Room > 0 && wide(text, t.Size) > t.Room {
		text = t.shortened()
		b.WriteString(` textLength="` + figure(t.Room) + `" lengthAdjust="spacingAndGlyphs"`)
	}
	b.WriteByte('>')
	escaped(b, text)
	b.WriteString("</text>")
}

// squeezed is how narrow letters may become, as a share of their width.
const squeezed = 0.75

// shortened is the text with dots at its end where it cannot be squeezed into its room.
func (t *Text) shortened() string {
	most := int(t.Room / (letter * t.Size * squeezed))
	if utf8.RuneCountInString(t.Text) <= most {
		return t.Text
	}
	return string([]rune(t.Text)[:max(1, most-1)]) + "…"
}

// figure is a length to a tenth.
func figure(n float64) string { return strconv.FormatFloat(math.Round(n*10)/10+0, 'f', -1, 64) }

// escaped writes text such as XML can have it.
func escaped(b *strings.Builder, text string) {
	if strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r >= utf8.RuneSelf || strings.ContainsRune(`<>&"'`, r) }) {
		_ = xml.EscapeText(b, []byte(text)) // a builder does not fail
		return
	}
	b.WriteString(text)
}
