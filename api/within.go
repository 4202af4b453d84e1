package api

import (
	"context"
	"time"

	"github.com/labstack/echo/v4"
)

// How long a request may take where Config does not say.
const (
	questionTime = 5 * time.Second
	readyTime    = 2 * time.Second
)

// changeTimes is how many times as long as a question a change may take: it may
// have to wait for others who change the same lines.
const changeTimes = 3

// within ends a request that takes too long, whatever the database does: what it
// waits for fails, and the client is told so with a problem.
func within(limit time.Duration) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			ctx, cancel := context.WithTimeout(c.Request().Context(), limit)
			defer cancel()
			c.SetRequest(c.Request().WithContext(ctx))
			return next(c)
		}
	}
}

// reached refuses a batch that the database would not answer at all, in the time of
// one question: the batch itself may take longer.
func (h *handlers) reached(limit time.Duration) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			ctx, cancel := context.WithTimeout(c.Request().Context(), limit)
			defer cancel()
			if _, err := h.catalogue.State(ctx); err != nil {
				return err
			}
			return next(c)
		}
	}
}
