package api

import (
	"github.com/labstack/echo/v4"

	"standin"
)

// seenHeader carries what a client has seen from one service to the next, where the
// database is on several servers: an answer brings it, and a client that sends it
// back is not answered from before, by whichever service.
const seenHeader = "Standin-Seen"

// seeing takes the header in and sets that of the answer, once the answer is made.
func (h *handlers) seeing(next echo.HandlerFunc) echo.HandlerFunc {
	replicated, ok := h.catalogue.(standin.Replicated)
	if !ok {
		return next
	}
	return func(c echo.Context) error {
		if seen, ok := standin.ParseSeen(c.Request().Header.Get(seenHeader)); ok {
			c.SetRequest(c.Request().WithContext(standin.WithSeen(c.Request().Context(), seen)))
		}
		c.Response().Before(func() {
			if seen := replicated.Seen(); seen != (standin.State{}) {
				c.Response().Header().Set(seenHeader, seen.SeenText())
			}
		})
		return next(c)
	}
}
