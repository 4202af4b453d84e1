package locale

import (
	"context"
	"net/http"
)

// Cookie is the name of the cookie that keeps the language somebody chose.
const Cookie = "standin-language"

// Vary are the headers that an answer in a language depends on.
const Vary = "Accept-Language, Cookie"

// OfRequest is the language that a browser chose, else the one it asks for.
func OfRequest(r *http.Request) Language {
	if chosen, err := r.Cookie(Cookie); err == nil {
		if l, known := Named(chosen.Value); known {
			return l
		}
	}
	return Preferred(r.Header.Get("Accept-Language"))
}

type contextKey struct{}

// With is a context in which answers are in the language.
func With(ctx context.Context, l Language) context.Context {
	return context.WithValue(ctx, contextKey{}, l)
}

// Of is the language of a context, English where none was chosen.
func Of(ctx context.Context) Language {
	l, _ := ctx.Value(contextKey{}).(Language)
	return l
}
