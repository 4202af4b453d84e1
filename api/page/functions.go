package page

import "html/template"

// functions are what templates may call.
var functions = template.FuncMap{
	"asset":       func(name string) string { return assets[name] },
	"counterLink": counterLink,
	"sentence":    sentence,
	"piece":       pieceOf,
}

// pieceOf is a field of the form with what is known of a machine.
func pieceOf(name, label, value, hint string, form evidence) template.HTML {
	var m markup
	m.html(`<div><label for="f-`)
	m.text(name)
	m.html(`">`)
	m.text(label)
	m.html(`</label><input id="f-`)
	m.text(name)
	m.html(`" name="`)
	m.text(name)
	m.html(`" type="text" value="`)
	m.text(value)
	m.html(`" maxlength="200" autocomplete="off" spellcheck="false" aria-describedby="h-`)
	m.text(name)
	if form.Wrong == name {
		hint = form.Why
		m.html(`" aria-invalid="true" autofocus="`)
	}
	m.html(`"><small id="h-`)
	m.text(name)
	m.html(`">`)
	m.text(hint)
	m.html(`</small></div>`)
	return m.done()
}
