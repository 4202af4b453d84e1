package api

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"log/slog"
	"regexp"

	"github.com/labstack/echo/v4"
)

// A request id that a client may choose; any other is replaced.
var chosenID = regexp.MustCompile(`^[0-9A-Za-z._-]{1,64}$`)

// trace is where a request stands among those of one piece of work that goes
// through several programs (W3C Trace Context).
type trace struct {
	id    string // of the work, 32 hexadecimal digits
	span  string // of this program's part, 16
	flags string // 2: whether the caller records it
}

// traced gives every request an id and a place in a trace, for the log and for the
// client: those that came with it, else new ones.
func traced(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		t := traceOf(r.Header.Values("Traceparent"))
		id := r.Header.Get(echo.HeaderXRequestID)
		if !chosenID.MatchString(id) {
			id = t.id
		}
		header := c.Response().Header()
		header.Set(echo.HeaderXRequestID, id)
		header.Set("Traceresponse", "00-"+t.id+"-"+t.span+"-"+t.flags)
		c.SetRequest(r.WithContext(context.WithValue(r.Context(), traceKey{}, t)))
		return next(c)
	}
}

var traceparent = regexp.MustCompile(`^([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-.*)?$`)

// traceOf continues the trace of a traceparent header, and begins a new one where
// there is none, several, or one that is invalid (W3C Trace Context, 3.2.2 and 4.3).
func traceOf(headers []string) trace {
	drawn := randomHex(16 + 8)
	t := trace{id: drawn[:32], span: drawn[32:], flags: "00"}
	if len(headers) != 1 {
		return t
	}
	p := traceparent.FindStringSubmatch(headers[0])
	const noTrace, noSpan = "00000000000000000000000000000000", "0000000000000000"
	if p == nil || p[1] == "ff" || p[1] == "00" && p[5] != "" || p[2] == noTrace || p[3] == noSpan {
		return t
	}
	t.id, t.flags = p[2], p[4]
	return t
}

func randomHex(bytes int) string {
	b := make([]byte, bytes)
	_, _ = rand.Read(b) // never fails
	return hex.EncodeToString(b)
}

type traceKey struct{}

// traceHandler adds the trace of the request to what is logged about it.
type traceHandler struct{ slog.Handler }

func (h traceHandler) Handle(ctx context.Context, record slog.Record) error {
	if t, ok := ctx.Value(traceKey{}).(trace); ok {
		record.AddAttrs(slog.String("trace_id", t.id), slog.String("span_id", t.span))
	}
	return h.Handler.Handle(ctx, record)
}

func (h traceHandler) WithAttrs(attrs []slog.Attr) slog.Handler {
	return traceHandler{h.Handler.WithAttrs(attrs)}
}

func (h traceHandler) WithGroup(name string) slog.Handler {
	return traceHandler{h.Handler.WithGroup(name)}
}
