package api

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/httprate"
	"github.com/labstack/echo/v4"

	"standin/openapi/gen"
)

// limitWindow is the time in which requests are counted.
const limitWindow = time.Minute

// limited refuses a caller who has asked more often than is allowed, and tells
// every caller how much is left (draft-ietf-httpapi-ratelimit-headers-10). Each
// server counts for itself.
func limited(most int) echo.MiddlewareFunc {
	if most == 0 {
		return func(next echo.HandlerFunc) echo.HandlerFunc { return next }
	}
	limiter := httprate.NewRateLimiter(most, limitWindow)
	policy := fmt.Sprintf(`"caller";q=%d;w=%d`, most, int(limitWindow.Seconds()))
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			if slices.Contains(unlimited, c.Path()) {
				return next(c)
			}
			said := &rendered{header: http.Header{}} // the library's own headers
			over := limiter.OnLimit(said, c.Request(), caller(c))
			left, _ := strconv.Atoi(said.header.Get("X-RateLimit-Remaining"))
			ends, _ := strconv.ParseInt(said.header.Get("X-RateLimit-Reset"), 10, 64)
			seconds := max(1, int(time.Until(time.Unix(ends, 0)).Round(time.Second).Seconds()))
			header := c.Response().Header()
			header.Set("RateLimit-Policy", policy)
			header.Set("RateLimit", fmt.Sprintf(`"caller";r=%d;t=%d`, max(0, left), seconds))
			if over {
				header.Set("Retry-After", strconv.Itoa(seconds))
				return &refusal{gen.ProblemTypeTooManyRequests,
					fmt.Sprintf("More than %d requests a minute are not answered; ask again in %d seconds.", most, seconds), ""}
			}
			return next(c)
		}
	}
}

// caller is whose requests are counted together: a client's address, of IPv6 the
// network that one customer is given.
func caller(c echo.Context) string { return httprate.CanonicalizeIP(c.RealIP()) }
