package page

import "html/template"

// functions are what templates may call.
var functions = template.FuncMap{
	"asset":       func(name string) string { return assets[name] },
	"counterLink": counterLink,
	"sentence":    sentence,
	"piece":       pieceOf,
}

// piece is a field of the form with what is known of a machine.
type piece struct {
	Name, Label, Value, Hint, Why string
	Wrong                         bool
}

func pieceOf(name, label, value, hint string, form evidence) piece {
	return piece{name, label, value, hint, form.Why, form.Wrong == name}
}
