package api

import (
	"context"
	"fmt"
	"net/http"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"standin"
)

// scopeField is where an operation of the contract says which scope it needs.
const scopeField = "x-scope"

// allowed lets through who may make a call that needs a scope, and puts the token
// that was shown into the request's context. A token that does not count is
// refused even where none is needed: its bearer believes to be someone.
func (h *handlers) allowed(need standin.Scope) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			if need == standin.ScopeNone {
				return next(c)
			}
			token, err := h.tokenShown(c.Request())
			switch {
			case err != nil:
				return err
			case token == nil && (need != standin.ScopeRead || h.guarded):
				return &standin.Error{Code: standin.CodeUnauthorized, Message: fmt.Sprintf(
					"This needs a token of scope %s: send it as Authorization: Bearer standin_…; standin token add makes one.", need)}
			case token != nil && !token.Allows(need):
				return &standin.Error{Code: standin.CodeForbidden, Message: fmt.Sprintf(
					"The token %s does not have the scope %s, which this needs.", token.Name, need)}
			}
			if token != nil {
				c.Set(tokenInLog, token.Name)
				c.SetRequest(c.Request().WithContext(context.WithValue(c.Request().Context(), bearerKey{}, token)))
			}
			return next(c)
		}
	}
}

// tokenInLog is where the request log finds the name of the token.
const tokenInLog = "token"

type bearerKey struct{}

// bearer is the token that was shown with a request, nil where none was. Calls of
// a scope other than read always have one.
func bearer(ctx context.Context) *standin.Token {
	token, _ := ctx.Value(bearerKey{}).(*standin.Token)
	return token
}

// mayAt is nil where the bearer may change the stock of a location.
func mayAt(ctx context.Context, location, field string) error {
	token := bearer(ctx)
	if token.AllowsAt(location) {
		return nil
	}
	return &standin.Error{Code: standin.CodeForbidden, Field: field, Message: fmt.Sprintf(
		"The token %s may change the stock at %s alone.", token.Name, token.Location)}
}

// tokenShown is the token of a request, nil where it shows none: that of its
// header, else the one that a browser keeps.
func (h *handlers) tokenShown(r *http.Request) (*standin.Token, error) {
	shown := r.Header.Values("Authorization")
	if len(shown) == 0 {
		return h.cookieToken(r)
	}
	// RFC 6750, 2.1; the scheme in any case, RFC 9110, 11.1.
	scheme, text, _ := strings.Cut(shown[0], " ")
	if len(shown) > 1 || !strings.EqualFold(scheme, "Bearer") {
		return nil, &standin.Error{Code: standin.CodeUnauthorized, Message: "Authorization must be, once, Bearer standin_…."}
	}
	token, err := h.tokenOf(r.Context(), strings.TrimSpace(text))
	if err != nil {
		return nil, err
	}
	return &token, nil
}

// challenge is what is wrong with the token of a request, as RFC 6750, 3 writes it.
func challenge(r *http.Request, status int) string {
	const realm = `Bearer realm="standin"`
	switch {
	case status == http.StatusForbidden:
		return realm + `, error="insufficient_scope"`
	case r.Header.Get("Authorization") != "":
		return realm + `, error="invalid_token"`
	}
	return realm
}

// scope is what the contract says a call needs. loadContract has made sure that it does.
func (c *contract) scope(method, path string) standin.Scope {
	scope, _ := scopeOf(c.document.Paths.Value(path).GetOperation(method))
	return scope
}

// scopeOf reads the scope of an operation.
func scopeOf(operation *openapi3.Operation) (standin.Scope, error) {
	text, _ := operation.Extensions[scopeField].(string)
	if text == string(standin.ScopeNone) {
		return standin.ScopeNone, nil
	}
	scopes, err := standin.ParseScopes(text)
	if err != nil || len(scopes) != 1 {
		return "", fmt.Errorf("%s: %s must be one scope, not %q", operation.OperationID, scopeField, text)
	}
	return scopes[0], nil
}

// checkScopes refuses a contract with a call that does not say who may make it.
func checkScopes(document *openapi3.T) error {
	for _, item := range document.Paths.Map() {
		for _, operation := range item.Operations() {
			if _, err := scopeOf(operation); err != nil {
				return err
			}
		}
	}
	return nil
}
