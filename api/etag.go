package api

import (
	"context"
	"fmt"
	"hash/fnv"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"standin"
	"standin/api/locale"
)

// cached gives a read its ETag and answers 304 where the client has it already
// (RFC 9110, 13.1.2). The state is read before the answer: should the catalogue
// change in between, the client is sent the newer answer once more, never told
// that an older one still holds.
func (h *handlers) cached(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		state, err := h.catalogue.State(c.Request().Context())
		if err != nil {
			return err
		}
		tag := h.entityTag(c.Request().Context(), state, c.Request().URL.RequestURI())
		c.Response().Header().Set("ETag", tag)
		if holdsTag(c.Request().Header.Values("If-None-Match"), tag) {
			return c.NoContent(http.StatusNotModified)
		}
		return next(c)
	}
}

// entityTag is the tag of the answer at an address in a state.
func (h *handlers) entityTag(ctx context.Context, state standin.State, address string) string {
	return entityTag(state, h.version, h.publicURL, baseAddress(ctx), locale.Of(ctx).String(), address)
}

// entityTag is weak: compressed or not, the answer means the same. What else the
// answer depends on is in it, the address first of all, so that the tag of one can
// never stand for another, and a tag that matches was sent with an answer.
func entityTag(state standin.State, depends ...string) string {
	h := fnv.New64a()
	fmt.Fprintf(h, "%d %q", state, depends)
	return fmt.Sprintf(`W/"%016x"`, h.Sum64())
}

// holdsTag reports whether a tag is among those a client has, by weak comparison (RFC
// 9110, 8.8.3.2). "*" is not taken up: it would need the answer to be made first.
func holdsTag(have []string, tag string) bool {
	for _, line := range have {
		for one := range strings.SplitSeq(line, ",") {
			if strings.TrimPrefix(strings.TrimSpace(one), "W/") == strings.TrimPrefix(tag, "W/") {
				return true
			}
		}
	}
	return false
}
