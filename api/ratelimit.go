package api

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/httprate"
	"github.com/labstack/echo/v4"

	"standin"
	"standin/openapi/gen"
)

// limitWindow is the time in which requests are counted.
const limitWindow = time.Minute

// callerLimit refuses a caller who has asked more often than is allowed, and tells
// every caller how much is left (draft-ietf-httpapi-ratelimit-headers-10). A caller
// is who shows a token, else a client's address. Each server counts for itself.
type callerLimit struct {
	most    int // requests in a window; 0: any number
	limiter *httprate.RateLimiter
}

func newCallerLimit(most int) *callerLimit {
	return &callerLimit{most, httprate.NewRateLimiter(most, limitWindow)}
}

// byAddress counts the requests that show no token. Of those that do it counts the
// ones that are refused for it, so that nobody can try tokens without end.
func (l *callerLimit) byAddress(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if l.most == 0 || slices.Contains(unlimited, c.Path()) {
			return next(c)
		}
		address := httprate.CanonicalizeIP(c.RealIP()) // of IPv6 the network that one customer is given
		if c.Request().Header.Get("Authorization") == "" {
			if err := l.count(c, "address "+address); err != nil {
				return err
			}
			return next(c)
		}
		refused := "refused " + address
		if _, rate, err := l.limiter.Status(refused); err == nil && rate >= float64(l.most) {
			return l.count(c, refused)
		}
		err := next(c)
		if standin.CodeOf(err) == standin.CodeUnauthorized {
			_ = l.count(c, refused) // it is refused already
		}
		return err
	}
}

// byToken counts the requests that show one. It comes after allowed.
func (l *callerLimit) byToken(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if token := bearer(c.Request().Context()); token != nil && l.most > 0 {
			if err := l.count(c, "token "+strconv.FormatInt(token.ID, 10)); err != nil {
				return err
			}
		}
		return next(c)
	}
}

// count counts a request of a caller. The error is that it is one too many.
func (l *callerLimit) count(c echo.Context, caller string) error {
	said := &headersAlone{http.Header{}} // the library's own headers
	over := l.limiter.OnLimit(said, c.Request(), caller)
	left, _ := strconv.Atoi(said.header.Get("X-RateLimit-Remaining"))
	ends, _ := strconv.ParseInt(said.header.Get("X-RateLimit-Reset"), 10, 64)
	wait := max(1, int(time.Until(time.Unix(ends, 0)).Round(time.Second).Seconds()))
	header := c.Response().Header()
	header.Set("RateLimit-Policy", fmt.Sprintf(`"caller";q=%d;w=%d`, l.most, int(limitWindow.Seconds())))
	header.Set("RateLimit", fmt.Sprintf(`"caller";r=%d;t=%d`, max(0, left), wait))
	if !over {
		return nil
	}
	header.Set("Retry-After", strconv.Itoa(wait))
	return &refusal{gen.ProblemTypeTooManyRequests,
		fmt.Sprintf("More than %d requests a minute are not answered; ask again in %d seconds.", l.most, wait), ""}
}

// headersAlone keeps the headers of a response and nothing else of it.
type headersAlone struct{ header http.Header }

func (h *headersAlone) Header() http.Header         { return h.header }
func (h *headersAlone) Write(b []byte) (int, error) { return len(b), nil }
func (h *headersAlone) WriteHeader(int)             {}
