package api

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
)

// ownKey makes the forms of this run of the service, where nobody shows a token.
var ownKey = []byte(rand.Text())

// keeperPage is a page for whoever may change something.
type keeperPage func(http.ResponseWriter, *http.Request, pages.Keeper)

// changes is what the pages can change: who may, and in which words that is said.
type changes struct {
	scope standin.Scope
	what  string
	there func(*handlers) bool // whether this service has it
}

var (
	theCatalogue = changes{standin.ScopeCatalogue, "the catalogue", func(h *handlers) bool { return h.intake != nil }}
	theStock     = changes{standin.ScopeStock, "the stock", func(h *handlers) bool { return h.shop != nil }}
)

// keeping lets a page be used by whoever may change what it changes: who shows a token
// of that scope, or, as long as reading needs none, who sits at the machine of the
// service.
func (h *handlers) keeping(of changes, page keeperPage) echo.HandlerFunc {
	return func(c echo.Context) error {
		if !of.there(h) {
			return echo.ErrNotFound
		}
		keeper, err := h.keeper(c, of)
		if err != nil {
			return err
		}
		page(c.Response(), c.Request(), keeper)
		return nil
	}
}

// keeper is who may change something through the pages.
func (h *handlers) keeper(c echo.Context, of changes) (pages.Keeper, error) {
	r := c.Request()
	token, shown, err := h.tokenOfPage(r)
	switch {
	case err != nil:
		return pages.Keeper{}, err
	case token == nil && !h.guarded && atThisMachine(r) && h.publicURL == "":
		return pages.Keeper{By: "someone at this machine", Form: formOf(ownKey)}, nil
	case token == nil:
		return pages.Keeper{}, &standin.Error{Code: standin.CodeUnauthorized,
			Message: "This needs a token of scope " + string(of.scope) + "; sign in with it, standin token add makes one."}
	case !token.Allows(of.scope) || token.Location != "" && of.scope != standin.ScopeStock:
		return pages.Keeper{}, &standin.Error{Code: standin.CodeForbidden,
			Message: "The token " + token.Name + " does not let you change " + of.what + "; sign in with one of scope " + string(of.scope) + "."}
	}
	c.Set(tokenInLog, token.Name)
	return pages.Keeper{By: token.Name, Token: token.ID, At: token.Location, Form: formOf([]byte(shown))}, nil
}

// formOf is what the forms of a bearer have in them. Whoever does not know the token
// cannot make one.
func formOf(key []byte) string {
	mac := hmac.New(sha256.New, key)
	mac.Write([]byte("import form"))
	return base64.RawURLEncoding.EncodeToString(mac.Sum(nil))
}

// tokenOfPage is the token that a browser keeps, and its text; nil where it keeps none
// that counts. Other than cookieToken it counts for forms too, which are told from
// those of other sites.
func (h *handlers) tokenOfPage(r *http.Request) (*standin.Token, string, error) {
	cookie, err := r.Cookie(cookieName)
	if err != nil || h.tokens == nil {
		return nil, "", nil
	}
	token, err := h.tokens.TokenOf(r.Context(), cookie.Value)
	switch {
	case standin.CodeOf(err) == standin.CodeUnauthorized:
		return nil, "", nil
	case err != nil:
		return nil, "", err
	}
	return &token, cookie.Value, nil
}

// allowedPage lets through who may make a call of a page of the service itself, by the
// token that the browser keeps: what other sites send was refused before.
func (h *handlers) allowedPage(need standin.Scope) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			token, _, err := h.tokenOfPage(c.Request())
			switch {
			case err != nil:
				return err
			case token == nil:
				return &standin.Error{Code: standin.CodeUnauthorized, Message: fmt.Sprintf("Sign in with a token of scope %s.", need)}
			case !token.Allows(need):
				return &standin.Error{Code: standin.CodeForbidden, Message: fmt.Sprintf(
					"The token %s does not have the scope %s; sign in with one that does.", token.Name, need)}
			}
			c.Set(tokenInLog, token.Name)
			c.SetRequest(c.Request().WithContext(context.WithValue(c.Request().Context(), bearerKey{}, token)))
			return next(c)
		}
	}
}

// atThisMachine reports whether a request comes from the machine of the service, by
// a name that only that has: not through a proxy, and not from a page of a site whose
// name was made to lead here.
func atThisMachine(r *http.Request) bool {
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil || !from.Addr().Unmap().IsLoopback() {
		return false
	}
	for name := range r.Header {
		if strings.HasPrefix(name, "X-Forwarded-") || name == "Forwarded" || name == "Via" {
			return false
		}
	}
	host := r.Host
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	ip, err := netip.ParseAddr(strings.Trim(host, "[]"))
	return strings.EqualFold(host, "localhost") || err == nil && ip.IsLoopback()
}

// patiently has a body with files be read as it comes, which may take its time.
func (c *contract) patiently(next echo.HandlerFunc) echo.HandlerFunc {
	return func(ctx echo.Context) error {
		request := ctx.Request()
		request.Body = &stream{
			contract: c, ctx: ctx, from: request.Body, connection: http.NewResponseController(ctx.Response()), last: time.Now().Add(streamTime),
		}
		return next(ctx)
	}
}
