package api

import (
	"compress/gzip"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/http"
	"regexp"
	"strings"

	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"
)

// A request id that a client may choose; any other is replaced.
var chosenID = regexp.MustCompile(`^[0-9A-Za-z._-]{1,64}$`)

// requestID gives every request an id, for the log and for the client.
func requestID(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		id := c.Request().Header.Get(echo.HeaderXRequestID)
		if !chosenID.MatchString(id) {
			id = rand.Text()
		}
		c.Response().Header().Set(echo.HeaderXRequestID, id)
		return next(c)
	}
}

// logged writes a line a request. What was asked for is not in it: a serial
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

// secured sets the headers that keep browsers from making more of an answer
// than it is.
func secured(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		header := c.Response().Header()
		header.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'")
		header.Set("X-Content-Type-Options", "nosniff")
		header.Set("Referrer-Policy", "no-referrer")
		header.Set("Cross-Origin-Resource-Policy", "same-origin")
		header.Set("Cache-Control", "no-cache")
		return next(c)
	}
}

// compressed compresses what is sent, but for what skip says.
func compressed(skip middleware.Skipper) echo.MiddlewareFunc {
	return middleware.GzipWithConfig(middleware.GzipConfig{Level: gzip.BestSpeed, MinLength: gzipFrom, Skipper: skip})
}

// compressedByItself: those files are compressed already, and answers that may be
// repeated are held compressed.
func compressedByItself(c echo.Context) bool {
	return strings.HasPrefix(c.Request().URL.Path, "/docs/") || c.Path() == "/v1/fits" && c.Request().Method != http.MethodPost
}
