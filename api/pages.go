package api

import (
	"errors"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
)

// newPages are the pages over the same catalogue.
func (h *handlers) newPages() (*pages.Pages, error) {
	return pages.New(pages.Config{
		Catalogue: h.catalogue, Log: h.log, Version: h.version, Base: h.base, Bench: true, Sheet: true, Answered: h.metrics.answered,
		SignIn: h.guarded,
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
	if errors.Is(err, echo.ErrNotFound) && !c.Response().Committed && asksForPage(c.Request()) {
		h.pages.NotFound(c.Response(), c.Request())
		return
	}
	h.sendProblem(err, c)
}

func asksForPage(r *http.Request) bool {
	return !strings.HasPrefix(r.URL.Path, "/v1/") && strings.Contains(r.Header.Get("Accept"), "text/html")
}
