package page

import (
	"html/template"

	"standin"
)

// functions are what templates may call.
var functions = template.FuncMap{
	"asset":       func(name string) string { return assets[name] },
	"counterLink": counterLink,
	"helpLink":    helpLink,
	"sentence":    standin.Sentence,
	"languages":   func() template.HTML { return languagesHere },
}
