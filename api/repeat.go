package api

import (
	"bytes"
	"compress/gzip"
	"context"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"
)

// repeated answers a question that was asked before, as long as nothing has
// changed. It comes before the question is looked at: what was answered once was
// right.
func (h *handlers) repeated(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		held, state := h.answers.find(c.Request().URL.RequestURI())
		if held == nil {
			return next(c)
		}
		if now, err := h.catalogue.State(c.Request().Context()); err != nil || now != state {
			return next(c)
		}
		return h.repeat(c, held)
	}
}

func (h *handlers) repeat(c echo.Context, held *heldAnswer) error {
	header := c.Response().Header()
	header.Set("ETag", held.tag)
	if wanted := c.Request().Header.Values("If-None-Match"); len(wanted) > 0 && holdsTag(wanted, held.tag) {
		return c.NoContent(http.StatusNotModified)
	}
	header.Set("Content-Type", "application/json")
	header.Add("Vary", "Accept-Encoding")
	body := held.plain
	if len(body) >= gzipFrom && strings.Contains(c.Request().Header.Get("Accept-Encoding"), "gzip") {
		body = h.zipped(held)
		header.Set("Content-Encoding", "gzip")
	}
	header.Set("Content-Length", strconv.Itoa(len(body)))
	c.Response().WriteHeader(http.StatusOK)
	if c.Request().Method == http.MethodHead {
		return nil
	}
	_, err := c.Response().Write(body)
	return err
}

// zipped is an answer compressed, which is done once.
func (h *handlers) zipped(held *heldAnswer) []byte {
	h.answers.mu.Lock()
	zipped := held.zipped
	h.answers.mu.Unlock()
	if zipped != nil {
		return zipped
	}
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, _ = w.Write(held.plain) // a buffer takes everything
	_ = w.Close()
	h.answers.zip(held, b.Bytes())
	return b.Bytes()
}

// zip holds the compressed form too.
func (a *answers) zip(held *heldAnswer, zipped []byte) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if e := a.at[held.address]; e != nil && e.Value == held && held.zipped == nil {
		held.zipped = zipped
		a.size += len(zipped)
	}
}

// remembered holds the answer that is made, where the handler notes the state it
// is made in and that is the state that its entity tag stands for.
func (h *handlers) remembered(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if c.Request().Method != http.MethodGet {
			return next(c)
		}
		var made madeIn
		request := c.Request()
		c.SetRequest(request.WithContext(context.WithValue(request.Context(), madeInKey{}, &made)))
		copied := &copying{ResponseWriter: c.Response().Writer}
		c.Response().Writer = copied
		err := next(c)
		c.Response().Writer = copied.ResponseWriter
		tag, address := c.Response().Header().Get("ETag"), request.URL.RequestURI()
		if err == nil && made.noted && c.Response().Status == http.StatusOK && tag == h.entityTag(request.Context(), made.state, address) {
			h.answers.hold(made.state, &heldAnswer{address: address, tag: tag, plain: copied.body.Bytes()})
		}
		return err
	}
}

// copying is a response that is copied as it is written.
type copying struct {
	http.ResponseWriter
	body bytes.Buffer
}

func (w *copying) Write(p []byte) (int, error) {
	w.body.Write(p)
	return w.ResponseWriter.Write(p)
}

// Unwrap is for http.ResponseController.
func (w *copying) Unwrap() http.ResponseWriter { return w.ResponseWriter }
