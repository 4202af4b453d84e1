package api

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
)

const (
	cookieName = "standin"      // of the cookie that holds a token
	cookieTime = 12 * time.Hour // and for how long at most
	signInPath = "/sign-in"
	maxSignIn  = 8 << 10 // bytes of the form
)

// ownForm refuses a form that another site sends: it would come with the cookie
// of whoever is signed in.
func ownForm(next echo.HandlerFunc) echo.HandlerFunc {
	protection := http.NewCrossOriginProtection()
	return func(c echo.Context) error {
		if err := protection.Check(c.Request()); err != nil {
			return &standin.Error{Code: standin.CodeForbidden, Message: "This form was sent by another site.", Cause: err}
		}
		return next(c)
	}
}

// cookieToken is the token of a browser that signed in, nil where none counts. It
// lets a browser read and do nothing else: whoever changes something shows the
// token itself, which no other site can have a browser do. Forms of the pages, which
// are told from those of other sites, go by tokenOfPage.
func (h *handlers) cookieToken(r *http.Request) (*standin.Token, error) {
	cookie, err := r.Cookie(cookieName)
	if err != nil || h.tokens == nil || r.Method != http.MethodGet && r.Method != http.MethodHead {
		return nil, nil
	}
	token, err := h.tokens.TokenOf(r.Context(), cookie.Value)
	switch {
	case standin.CodeOf(err) == standin.CodeUnauthorized: // that it was is no fault of the request
		return nil, nil
	case err != nil:
		return nil, err
	}
	return &token, nil
}

// showSignIn asks for a token, or says which one is shown already.
func (h *handlers) showSignIn(c echo.Context) error {
	page := pages.SignInPage{To: ownPath(c.QueryParam("to"))}
	token, err := h.cookieToken(c.Request())
	if err != nil {
		return err
	}
	if token != nil {
		page.Bearer = token.Name
	}
	h.pages.SignIn(c.Response(), c.Request(), http.StatusOK, page)
	return nil
}

// signIn takes a token from the form and has the browser keep it.
func (h *handlers) signIn(c echo.Context) error {
	r := c.Request()
	r.Body = http.MaxBytesReader(c.Response(), r.Body, maxSignIn)
	if err := r.ParseForm(); err != nil {
		return &standin.Error{Code: standin.CodeBadRequest, Message: "The form cannot be read; go back and send it again.", Cause: err}
	}
	to, text := ownPath(r.PostForm.Get("to")), strings.TrimSpace(r.PostForm.Get("token"))
	token, err := h.tokenOf(r.Context(), text)
	if standin.CodeOf(err) == standin.CodeUnauthorized {
		h.pages.SignIn(c.Response(), r, http.StatusUnauthorized, pages.SignInPage{To: to, Wrong: "This token is not known, was revoked or has expired."})
		return nil
	}
	if err != nil {
		return err
	}
	lasts := cookieTime
	if !token.Expires.IsZero() {
		lasts = min(lasts, time.Until(token.Expires))
	}
	h.setCookie(c, text, max(1, int(lasts.Seconds())))
	return c.Redirect(http.StatusSeeOther, to)
}

// signOut has the browser forget its token.
func (h *handlers) signOut(c echo.Context) error {
	h.setCookie(c, "", -1)
	return c.Redirect(http.StatusSeeOther, signInPath)
}

func (h *handlers) setCookie(c echo.Context, value string, seconds int) {
	c.SetCookie(&http.Cookie{
		Name: cookieName, Value: value, Path: "/", MaxAge: seconds, HttpOnly: true, SameSite: http.SameSiteStrictMode,
		Secure: c.IsTLS() || strings.HasPrefix(h.publicURL, "https:"),
	})
	c.Response().Header().Set("Cache-Control", "no-store")
}

// tokenOf is the token that a text shows.
func (h *handlers) tokenOf(ctx context.Context, text string) (standin.Token, error) {
	if h.tokens == nil {
		return standin.Token{}, &standin.Error{Code: standin.CodeUnauthorized, Message: "This service knows no tokens."}
	}
	return h.tokens.TokenOf(ctx, text)
}

// ownPath is an address of this service, and its first page for any other.
func ownPath(to string) string {
	u, err := url.Parse(to)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n\t") ||
		strings.HasPrefix(to, signInPath) {
		return "/"
	}
	return to
}

// signInFirst sends a person's browser to the page that asks for a token.
func signInFirst(c echo.Context) error {
	c.Response().Header().Set("Cache-Control", "no-store")
	to := c.Request().URL.RequestURI()
	if c.Request().Method == http.MethodPost { // a form: back to where forms are
		to = "/import"
	}
	return c.Redirect(http.StatusSeeOther, signInPath+"?to="+url.QueryEscape(to))
}
