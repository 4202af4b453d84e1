package page

import (
	"html/template"
	"strings"
)

// markup builds the tickets of the answer page, and nothing else does: every
// other list is a template. A ticket is some sixty small values, each of which
// costs a template a call by reflection. With ready strings the checks of one
// ticket take four times as long as a template (BenchmarkChecks: 0.36 ms and
// 0.09 ms on a busy machine of two cores); with tickets as markup the page takes
// up to three times as long as its JSON (BenchmarkFits), which is the bar.
//
// What is written as a literal is HTML, what is written as text is escaped.
type markup struct{ b strings.Builder }

// ticketBytes is more than most tickets take.
const ticketBytes = 4096

// literal is HTML written in the program: only an untyped constant converts to
// it implicitly.
type literal string

func (m *markup) html(l literal) { m.b.WriteString(string(l)) }

// text is safe between tags and in a quoted attribute.
func (m *markup) text(s string) {
	for i := range len(s) {
		switch s[i] {
		case '<', '>', '&', '"', '\'', 0:
			m.b.WriteString(template.HTMLEscapeString(s))
			return
		}
	}
	m.b.WriteString(s)
}

// paragraph writes a paragraph, or nothing where the text is empty.
func (m *markup) paragraph(class literal, text string) {
	if text != "" {
		m.html(`<p class="`)
		m.html(class)
		m.html(`">`)
		m.text(text)
		m.html(`</p>`)
	}
}

// link writes a link to an address of the service itself, which begins with a
// slash: the scheme is not checked.
func (m *markup) link(class literal, address, text string) {
	m.html(`<a class="`)
	m.html(class)
	m.html(`" href="`)
	m.text(address)
	m.html(`">`)
	m.text(text)
	m.html(`</a>`)
}

// press writes a link to work that the arrow keys reach.
func (m *markup) press(class literal, address, text string) {
	m.html(`<a data-stop class="press`)
	m.html(class)
	m.html(`" href="`)
	m.text(address)
	m.html(`">`)
	m.text(text)
	m.html(`</a>`)
}

// verdict writes a verdict as the template of that name does.
func (m *markup) verdict(v verdict) {
	m.html(`<span class="verdict `)
	m.text(v.Class)
	m.html(`"><svg aria-hidden="true" focusable="false"><use href="#v-`)
	m.text(v.Class)
	m.html(`"/></svg>`)
	m.text(v.Word)
	m.html(`</span>`)
}

// made writes HTML that other markup has made.
func (m *markup) made(h template.HTML) { m.b.WriteString(string(h)) }

func (m *markup) done() template.HTML { return template.HTML(m.b.String()) }

// small writes a space and text in small print, or nothing where it is empty.
func (m *markup) small(s string) {
	if s != "" {
		m.html(" <small>")
		m.text(s)
		m.html("</small>")
	}
}
