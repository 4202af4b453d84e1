package api

import (
	"compress/gzip"
	"context"
	"errors"
	"io"
	"maps"
	"mime"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"standin/openapi/gen"
)

// streamedField is where an operation of the contract says that its body is passed on
// as it comes, not held in memory.
const streamedField = "x-streamed"

const (
	stallTime  = 30 * time.Second // that a streamed body may pause
	streamTime = time.Hour        // that it may take
	afterTime  = 3 * time.Minute  // that its answer may take after its last byte
)

func streamed(operation *openapi3.Operation) bool {
	is, _ := operation.Extensions[streamedField].(bool)
	return is
}

// takeStream looks at what a body says it is and has it read piece by piece,
// decompressed. It may take longer than other bodies, as long as it keeps coming.
func (c *contract) takeStream(ctx echo.Context, operation *openapi3.Operation) error {
	request := ctx.Request()
	kind, parameters, err := mime.ParseMediaType(request.Header.Get("Content-Type"))
	accepted := operation.RequestBody.Value.Content
	if err != nil || accepted[kind] == nil {
		return &refusal{gen.ProblemTypeUnsupportedMediaType,
			"Send the body with one of the Content-Types " + strings.Join(slices.Sorted(maps.Keys(accepted)), ", ") + ".", ""}
	}
	request.Header.Set("Content-Type", mime.FormatMediaType(kind, parameters))
	in := &stream{
		contract: c, ctx: ctx, from: request.Body, connection: http.NewResponseController(ctx.Response()), last: time.Now().Add(streamTime),
	}
	switch coding := strings.ToLower(request.Header.Get("Content-Encoding")); coding {
	case "", "identity":
	case "gzip", "x-gzip": // the same (RFC 9110, 8.4.1.3)
		in.packed = true
	default:
		ctx.Response().Header().Set("Accept-Encoding", "gzip")
		return &refusal{gen.ProblemTypeUnsupportedMediaType, "Send the body as it is, or compressed with the Content-Encoding gzip.", ""}
	}
	request.Body = in
	return nil
}

// stream is a body that is read as it comes. Its errors are for people.
type stream struct {
	contract   *contract
	ctx        echo.Context
	from       io.ReadCloser
	connection *http.ResponseController
	last       time.Time // at which it must have come
	packed     bool
	unpacked   io.Reader // nil: not begun
}

func (s *stream) Read(p []byte) (int, error) {
	if s.unpacked == nil {
		s.unpacked = timedReader{s}
		if s.packed {
			var err error
			if s.unpacked, err = gzip.NewReader(timedReader{s}); err != nil {
				return 0, s.contract.cutOff(s.ctx, err)
			}
		}
	}
	n, err := s.unpacked.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		err = s.contract.cutOff(s.ctx, err)
	}
	return n, err
}

// Close gives the rest up.
func (s *stream) Close() error { return s.from.Close() }

// timedReader reads from the connection, which is given a while for each piece. A
// service that is to stop does not wait for the next one.
type timedReader struct{ of *stream }

func (t timedReader) Read(p []byte) (int, error) {
	s := t.of
	until := time.Now().Add(stallTime)
	if s.last.Before(until) {
		until = s.last
	}
	// Where there are no deadlines, as in a test, there is none to move.
	_ = s.connection.SetReadDeadline(until)
	_ = s.connection.SetWriteDeadline(until.Add(afterTime))
	unhook := context.AfterFunc(s.contract.stopping, func() { _ = s.connection.SetReadDeadline(time.Now()) })
	defer unhook()
	return s.from.Read(p)
}
