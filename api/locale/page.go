package locale

import (
	"bytes"
	"html"
	"slices"
	"strings"

	markup "golang.org/x/net/html"
)

// attributes are those that people read or hear. Those of the script begin with
// sayAttribute.
var attributes = []string{"title", "aria-label", "placeholder", "alt"}

const sayAttribute = "data-say-"

// kept are elements with what is typed in or read as it is.
var kept = []string{"script", "style", "code", "kbd", "samp", "textarea", "pre"}

// numberClass marks what is a number or a name: it is kept as well, and so is what has
// the attribute translate="no" (HTML, 3.2.6.3).
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
	keeping, depth := "", 0 // the element that is kept as it is, and how deep it is in itself
	for {
		switch z.Next() {
		case markup.ErrorToken:
			return out.Bytes()
		case markup.TextToken:
			l.text(&out, z.Raw(), keeping != "")
		case markup.StartTagToken, markup.SelfClosingTagToken:
			raw := slices.Clone(z.Raw())
			token := z.Token()
			if keeping == "" && token.Type == markup.StartTagToken && isKept(&token) {
				keeping = token.Data
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

func isKept(t *markup.Token) bool {
	if slices.Contains(kept, t.Data) {
		return true
	}
	return slices.ContainsFunc(t.Attr, func(a markup.Attribute) bool {
		return a.Key == "translate" && a.Val == "no" || a.Key == "class" && slices.Contains(strings.Fields(a.Val), numberClass)
	})
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
		case slices.Contains(attributes, a.Key) || strings.HasPrefix(a.Key, sayAttribute):
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
