package page

import (
	"bytes"
	"html/template"
	"net/http"
	"net/url"
	"strings"

	"standin/api/locale"
)

// languagesHere is where the links to the other languages stand in a page, until it
// is known which these are and at which address the page is.
const languagesHere = template.HTML(`<span data-languages></span>`)

// betweenLanguages is what stands before them.
const betweenLanguages = " · "

// inEnglish are the views that are read in English alone: the documentation of the
// API, which is in English.
var inEnglish = map[string]bool{"reference": true}

// spokenTo is a page in the language of whoever asks for it; the header says so.
func spokenTo(r *http.Request, view string, page []byte, header http.Header) []byte {
	if inEnglish[view] {
		header.Set("Content-Language", locale.Language{}.String())
		return bytes.Replace(page, []byte(betweenLanguages+languagesHere), nil, 1)
	}
	language := locale.OfRequest(r)
	header.Set("Content-Language", language.String())
	header.Add("Vary", locale.Vary)
	page = language.Page(page)
	return bytes.Replace(page, []byte(languagesHere), []byte(languageLinks(r, language)), 1)
}

// languageLinks lead to the same page in the other languages.
func languageLinks(r *http.Request, now locale.Language) string {
	at := "/"
	if r.Method == http.MethodGet {
		at = r.URL.RequestURI()
	}
	var b strings.Builder
	for _, l := range locale.All {
		if l != now {
			address := LanguagePath + "?to=" + l.String() + "&at=" + url.QueryEscape(at)
			b.WriteString(`<a lang="` + l.String() + `" hreflang="` + l.String() + `" href="` + template.HTMLEscapeString(address) + `">` + l.Name() + `</a>`)
		}
	}
	return b.String()
}

// LanguagePath is where a browser is given the language that somebody chose.
const LanguagePath = "/language"
