package locale

import (
	"bytes"
	"html"
	"slices"
	"strings"

	markup "golang.org/x/net/html"
)

// attributes are those that people read or hear.
var attributes = []string{"title", "aria-label", "placeholder", "alt"}

// keptElements are those with what is typed in or read as it is.
var keptElements = []string{"script", "style", "code", "kbd", "samp", "textarea", "pre"}

// numberClass marks what is a number or a name: a word of it is kept, whatever it is.
// What has the attribute translate="no" is kept whole (HTML, 3.2.6.3).
const numberClass = "number"

// Page says a page in the language. What is said is escaped again, so that nothing in
// a catalogue can become markup.
func (l Language) Page(page []byte) []byte {
	if l.of == nil {
		return page
	}
	var out bytes.Buffer
	out.Grow(len(page) + len(page)/8)
	z := markup.NewTokenizer(bytes.NewReader(page))
	keeping, depth, words := "", 0, false // the element that is kept, how deep it is in itself, and whether its words alone are
	for {
		switch z.Next() {
		case markup.ErrorToken:
			return out.Bytes()
		case markup.TextToken:
			l.text(&out, z.Raw(), keeping != "" && !(words && bytes.ContainsAny(bytes.TrimSpace(z.Raw()), " ")))
		case markup.StartTagToken, markup.SelfClosingTagToken:
			raw := slices.Clone(z.Raw())
			token := z.Token()
			if kept, number := isKept(&token); keeping == "" && token.Type == markup.StartTagToken && kept {
				keeping, words = token.Data, number
			}
			if token.Data == keeping && token.Type == markup.StartTagToken {
				depth++
			}
			l.tag(&out, &token, raw)
		case markup.EndTagToken:
			raw := slices.Clone(z.Raw())
			if name, _ := z.TagName(); string(name) == keeping {
				if depth--; depth == 0 {
					keeping = ""
				}
			}
			out.Write(raw)
		case markup.CommentToken, markup.DoctypeToken:
			out.Write(z.Raw())
		}
	}
}

// isKept reports whether an element is kept as it is, and whether of that its words alone.
func isKept(t *markup.Token) (kept, words bool) {
	if slices.Contains(keptElements, t.Data) {
		return true, false
	}
	for _, a := range t.Attr {
		if a.Key == "translate" && a.Val == "no" {
			return true, false
		}
		words = words || a.Key == "class" && slices.Contains(strings.Fields(a.Val), numberClass)
	}
	return words, words
}

func (l Language) text(out *bytes.Buffer, raw []byte, keep bool) {
	if keep {
		out.Write(raw)
		return
	}
	text := html.UnescapeString(string(raw))
	said := l.Say(text)
	if said == text {
		out.Write(raw)
		return
	}
	out.WriteString(html.EscapeString(said))
}

// tag writes a tag, with what people read of it said.
func (l Language) tag(out *bytes.Buffer, t *markup.Token, raw []byte) {
	changed := false
	for i := range t.Attr {
		a := &t.Attr[i]
		switch {
		case t.Data == "html" && a.Key == "lang":
			a.Val = l.String()
			changed = true
		case slices.Contains(attributes, a.Key):
			if said := l.Say(a.Val); said != a.Val {
				a.Val = said
				changed = true
			}
		}
	}
	if changed {
		out.WriteString(t.String())
		return
	}
	out.Write(raw)
}
