package locale

import (
	"sync"

	"golang.org/x/text/language"
)

// Language is one that pages and sheets are read in. The zero Language is English.
type Language struct{ of *spoken }

// spoken is a language other than English.
type spoken struct {
	tag       language.Tag
	name      string // in the language itself
	and       string // between the last two of a list
	catalogue func() *catalogue
}

// German is the first other language.
var German = Language{&spoken{tag: language.German, name: "Deutsch", and: " und "}}

// All are the languages, English first.
var All = []Language{{}, German}

func init() {
	for _, l := range All[1:] {
		l.of.catalogue = sync.OnceValue(l.of.read)
	}
}

// read reads the catalogue of a language, when it is first asked for.
func (s *spoken) read() *catalogue {
	entries, err := readEntries(s.tag.String())
	if err != nil {
		panic(err) // the files are in the program, and a test reads them
	}
	c, err := newCatalogue(entries, s.and)
	if err != nil {
		panic(err)
	}
	return c
}

// String is the tag of the language (BCP 47), such as "de".
func (l Language) String() string {
	if l.of == nil {
		return language.English.String()
	}
	return l.of.tag.String()
}

// Name is that of the language in the language itself.
func (l Language) Name() string {
	if l.of == nil {
		return "English"
	}
	return l.of.name
}

// Named is the language of a tag such as "de"; ok reports whether there is one.
func Named(tag string) (l Language, ok bool) {
	for _, l := range All {
		if l.String() == tag {
			return l, true
		}
	}
	return Language{}, false
}

// Say says an English text in the language: as it is, where the language is English
// or has no form for it.
func (l Language) Say(english string) string {
	if l.of == nil {
		return english
	}
	return l.of.catalogue().say(english)
}

// Preferred is the language that a header Accept-Language asks for (RFC 9110, 12.5.4):
// the first that there is, matched as BCP 47 has it, and English where it asks for none.
func Preferred(header string) Language {
	if header == "" {
		return Language{}
	}
	wanted, _, err := language.ParseAcceptLanguage(header)
	if err != nil || len(wanted) == 0 {
		return Language{}
	}
	_, at, confidence := matcher.Match(wanted...)
	if confidence == language.No {
		return Language{}
	}
	return All[at]
}

var matcher = func() language.Matcher {
	tags := make([]language.Tag, len(All))
	for i, l := range All {
		tags[i] = language.English
		if l.of != nil {
			tags[i] = l.of.tag
		}
	}
	return language.NewMatcher(tags)
}()
