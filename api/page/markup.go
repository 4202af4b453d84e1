package page

import (
	"html/template"
	"strings"
)

// markup builds HTML where a page has so many small values that a template
// would take most of the page's time for them. What is written as a literal is
// HTML, what is written as text is escaped.
type markup struct{ b strings.Builder }

// usualMarkup is how many bytes most lists take.
const usualMarkup = 512

// literal is HTML that is written in the program: only a constant becomes one by
// itself.
type literal string

func (m *markup) html(l literal) {
	if m.b.Cap() == 0 {
		m.b.Grow(usualMarkup)
	}
	m.b.WriteString(string(l))
}

// text is safe between tags and in a quoted attribute.
func (m *markup) text(s string) { m.b.WriteString(template.HTMLEscapeString(s)) }

// paragraph is a paragraph of a class, nothing where it is empty.
func (m *markup) paragraph(class literal, text string) {
	if text != "" {
		m.html(`<p class="`)
		m.html(class)
		m.html(`">`)
		m.text(text)
		m.html(`</p>`)
	}
}

// link leads to an address of our own: one that begins with a slash.
func (m *markup) link(class literal, address, text string) {
	m.html(`<a class="`)
	m.html(class)
	m.html(`" href="`)
	m.text(address)
	m.html(`">`)
	m.text(text)
	m.html(`</a>`)
}

// verdict is its shape and its word, as the template of that name has it.
func (m *markup) verdict(v verdict) {
	m.html(`<span class="verdict `)
	m.text(v.Class)
	m.html(`"><svg aria-hidden="true" focusable="false"><use href="#v-`)
	m.text(v.Class)
	m.html(`"/></svg>`)
	m.text(v.Word)
	m.html(`</span>`)
}

// made is HTML that was made in the same way.
func (m *markup) made(h template.HTML) { m.b.WriteString(string(h)) }

func (m *markup) done() template.HTML { return template.HTML(m.b.String()) }

// small is text in small letters, nothing where it is empty.
func (m *markup) small(s string) {
	if s != "" {
		m.html(" <small>")
		m.text(s)
		m.html("</small>")
	}
}
