package page

import "net/http"

// SignInPage asks for a token, or says which one is shown already.
type SignInPage struct {
	Bearer string // the name of the token; empty: none is shown
	To     string // where to go on
	Wrong  string // why the token that was given does not do; empty: none was given
}

type signInPage struct {
	base
	SignInPage
}

// SignIn sends the page that asks for a token.
func (p *Pages) SignIn(w http.ResponseWriter, r *http.Request, status int, page SignInPage) {
	p.show(w, r, status, "signin", signInPage{p.bare("Sign in", ""), page})
}
