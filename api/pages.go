package api

import (
	"errors"
	"net/http"
	"net/url"
	"regexp"
	"strings"

	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
)

// newPages are the pages over the same catalogue.
func (h *handlers) newPages() (*pages.Pages, error) {
	return pages.New(pages.Config{
		Catalogue: h.catalogue, Log: h.log, Version: h.version, Base: h.base, Bench: true, Sheet: true, Answered: h.metrics.answered,
		SignIn: h.guarded, Intake: h.intake, Shop: h.shop,
	})
}

// show lets a page answer.
func show(page http.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		page(c.Response(), c.Request())
		return nil
	}
}

// sendError is echo's error handler. Where there is nothing at an address, a
// person's browser gets a page; everything else is a problem.
func (h *handlers) sendError(err error, c echo.Context) {
	if standin.CodeOf(err) == standin.CodeUnauthorized && !c.Response().Committed && asksForPage(c.Request()) &&
		c.Request().Header.Get("Authorization") == "" && signInFirst(c) == nil {
		return
	}
	if standin.CodeOf(err) == standin.CodeForbidden && !c.Response().Committed && asksForPage(c.Request()) {
		h.pages.Forbidden(c.Response(), c.Request(), err)
		return
	}
	if errors.Is(err, echo.ErrNotFound) && !c.Response().Committed && asksForPage(c.Request()) {
		h.pages.NotFound(c.Response(), c.Request())
		return
	}
	h.sendProblem(err, c)
}

func asksForPage(r *http.Request) bool {
	return !strings.HasPrefix(r.URL.Path, "/v1/") && strings.Contains(r.Header.Get("Accept"), "text/html")
}

var plainPathSteps = regexp.MustCompile(`^(/[A-Za-z0-9_-][A-Za-z0-9._-]*)*/?$`)

// plainPath reports whether a path can stand in every link as it is.
func plainPath(u *url.URL) bool { return u.RawPath == "" && plainPathSteps.MatchString(u.Path) }

// basePath is the path of an address of the service, without a slash at its end.
func basePath(publicURL string) string {
	u, err := url.Parse(publicURL)
	if err != nil {
		return ""
	}
	return strings.TrimRight(u.Path, "/")
}

// below lets a handler that answers at the root answer below a path too. A proxy in
// front may take the path off or leave it: both come to the same.
func below(base string, handler http.Handler) http.Handler {
	if base == "" {
		return handler
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		path, under := strings.CutPrefix(r.URL.Path, base)
		if !under || path != "" && path[0] != '/' {
			handler.ServeHTTP(w, r)
			return
		}
		if path == "" {
			http.Redirect(w, r, base+"/", http.StatusPermanentRedirect)
			return
		}
		inner := *r
		inner.URL = new(url.URL)
		*inner.URL = *r.URL
		inner.URL.Path, inner.URL.RawPath = path, strings.TrimPrefix(r.URL.RawPath, base)
		handler.ServeHTTP(w, &inner)
	})
}
