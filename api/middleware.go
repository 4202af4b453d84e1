package api

import (
	"compress/gzip"
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"
)

// logged writes one line per request. What was asked for is not in it: a serial
// number may lead to a person.
func (h *handlers) logged() echo.MiddlewareFunc {
	return middleware.RequestLoggerWithConfig(middleware.RequestLoggerConfig{
		HandleError: true, // so that the status is that of the problem
		LogMethod:   true, LogRoutePath: true, LogStatus: true, LogLatency: true, LogResponseSize: true,
		LogRemoteIP: true, LogRequestID: true, LogError: true,
		LogValuesFunc: func(c echo.Context, v middleware.RequestLoggerValues) error {
			attrs := []slog.Attr{
				slog.String("method", v.Method), slog.String("route", v.RoutePath), slog.Int("status", v.Status),
				slog.Duration("took", v.Latency), slog.Int64("bytes", v.ResponseSize),
				slog.String("from", v.RemoteIP), slog.String("request_id", v.RequestID),
			}
			if token, ok := c.Get(tokenInLog).(string); ok {
				attrs = append(attrs, slog.String("token", token))
			}
			level := slog.LevelInfo
			if v.Status >= http.StatusInternalServerError {
				level = slog.LevelError
				attrs = append(attrs, slog.Any("error", v.Error))
			}
			h.log.LogAttrs(c.Request().Context(), level, "request", attrs...)
			return nil
		},
	})
}

// recovered turns a panic into an error, with its stack in the log.
func (h *handlers) recovered() echo.MiddlewareFunc {
	return middleware.RecoverWithConfig(middleware.RecoverConfig{
		DisablePrintStack: true,
		LogErrorFunc: func(c echo.Context, err error, stack []byte) error {
			h.log.ErrorContext(c.Request().Context(), "panic", "error", err, "stack", string(stack))
			return fmt.Errorf("panic: %w", err)
		},
	})
}

// security has the headers that keep browsers from making more of an answer than it
// is. All answers share the values.
var security = []struct {
	name  string // in its canonical form
	value []string
}{
	{"Content-Security-Policy", []string{"default-src 'none'; frame-ancestors 'none'"}},
	{"X-Content-Type-Options", []string{"nosniff"}},
	{"Referrer-Policy", []string{"no-referrer"}},
	{"Cross-Origin-Resource-Policy", []string{"same-origin"}},
	{"Cache-Control", []string{"no-cache"}},
}

// secured sets the headers of security.
func secured(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		header := c.Response().Header()
		for _, h := range security {
			header[h.name] = h.value
		}
		return next(c)
	}
}

// shared lets pages of other web sites read the API's answers, where a browser asks
// whether they may (the CORS protocol of the Fetch standard). They send no cookies.
func shared(origins []string) echo.MiddlewareFunc {
	if len(origins) == 0 {
		return func(next echo.HandlerFunc) echo.HandlerFunc { return next }
	}
	return middleware.CORSWithConfig(middleware.CORSConfig{
		AllowOrigins: origins,
		AllowMethods: []string{http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete},
		AllowHeaders: []string{"Authorization", "Content-Type", "Idempotency-Key", "If-Match", "If-None-Match", seenHeader, "Traceparent", "X-Request-Id"},
		ExposeHeaders: []string{"Allow", "ETag", "Link", "Location", "RateLimit", "RateLimit-Policy", "Retry-After", seenHeader,
			"Traceresponse", "X-Request-Id"},
		MaxAge: int(sharedTime.Seconds()),
		Skipper: func(c echo.Context) bool {
			path := c.Request().URL.Path
			return !strings.HasPrefix(path, "/v1/") && !strings.HasPrefix(path, "/openapi.")
		},
	})
}

// compressed compresses what is sent, but for what skip says.
func compressed(skip middleware.Skipper) echo.MiddlewareFunc {
	return middleware.GzipWithConfig(middleware.GzipConfig{Level: gzip.BestSpeed, MinLength: gzipFrom, Skipper: skip})
}

// compressedByItself: answers that may be repeated are held compressed.
func compressedByItself(c echo.Context) bool {
	return c.Path() == "/v1/fits" && c.Request().Method != http.MethodPost
}

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
