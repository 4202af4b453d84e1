package page

import (
	"html/template"

	"standin"
)

// functions are what templates may call.
var functions = template.FuncMap{
	"asset":       func(name string) string { return assets[name] },
	"counterLink": counterLink,
	"sentence":    standin.Sentence,
	"pieces":      pieces,
	"choices":     choicesOf,
}

// pieces are the fields of the form with what is known of a machine.
func pieces(form evidence) template.HTML {
	var m markup
	for _, p := range [...]struct{ name, label, value, hint string }{
		{"made", "Made", form.Made, "2004, 2004-09, 2004-W38 or 2001-03/2001-05"},
		{"serial", "Serial number", form.Serial, "as on the plate"},
		{"plug", "Ways of plugs seen", form.Plug, "10, or 6 2 2"},
		{"old_part", "Number on the old board", form.OldPart, "part number or marking"},
	} {
		m.html(`<div><label for="f-`)
		m.text(p.name)
		m.html(`">`)
		m.text(p.label)
		m.html(`</label><input id="f-`)
		m.text(p.name)
		m.html(`" name="`)
		m.text(p.name)
		m.html(`" type="text" value="`)
		m.text(p.value)
		m.html(`" maxlength="200" autocomplete="off" spellcheck="false" aria-describedby="h-`)
		m.text(p.name)
		if form.Wrong == p.name {
			p.hint = form.Why
			m.html(`" aria-invalid="true" autofocus="`)
		}
		m.html(`"><small id="h-`)
		m.text(p.name)
		m.html(`">`)
		m.text(p.hint)
		m.html(`</small></div>`)
	}
	return m.done()
}
