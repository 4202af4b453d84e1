package api

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"mime"
	"net/http"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"standin/openapi/gen"
)

// takeBody reads the body into memory, within bounds, where the call takes one.
// What comes after it sees the body as it was before it was compressed, under the
// media type as the contract writes it.
func (c *contract) takeBody(ctx echo.Context, operation *openapi3.Operation) error {
	if operation.RequestBody == nil {
		return nil
	}
	if streamed(operation) {
		return c.takeStream(ctx, operation)
	}
	request := ctx.Request()
	if !operation.RequestBody.Value.Required && request.ContentLength == 0 {
		return nil
	}
	if err := takeMediaType(request, operation.RequestBody.Value.Content); err != nil {
		return err
	}
	body, err := c.readBody(ctx)
	if err != nil {
		return err
	}
	if len(body) == 0 {
		return &refusal{gen.ProblemTypeBadRequest, "The body is missing.", ""}
	}
	if err := checkJSON(body); err != nil {
		return err
	}
	request.Body = io.NopCloser(bytes.NewReader(body))
	return nil
}

// takeMediaType refuses a body of a type that is not among those accepted. Types
// are written in any case (RFC 9110, 8.3.1); from here on in lower case.
func takeMediaType(request *http.Request, accepted openapi3.Content) error {
	kind, _, err := mime.ParseMediaType(request.Header.Get("Content-Type"))
	if err != nil || accepted[kind] == nil {
		names := strings.Join(slices.Sorted(maps.Keys(accepted)), ", ")
		return &refusal{gen.ProblemTypeUnsupportedMediaType, "Send the body with the Content-Type " + names + ".", ""}
	}
	request.Header.Set("Content-Type", kind)
	return nil
}

// readBody reads the body to its end, decompressed. A server that is to stop does
// not wait for the rest.
func (c *contract) readBody(ctx echo.Context) ([]byte, error) {
	request, connection := ctx.Request(), http.NewResponseController(ctx.Response())
	unhook := context.AfterFunc(c.stopping, func() {
		_ = connection.SetReadDeadline(time.Now()) // one that cannot be set holds the end, no more
	})
	defer unhook()
	var body io.Reader = http.MaxBytesReader(ctx.Response(), request.Body, maxBody)
	switch coding := strings.ToLower(request.Header.Get("Content-Encoding")); coding {
	case "", "identity":
	case "gzip", "x-gzip": // the same (RFC 9110, 8.4.1.3)
		var err error
		if body, err = opened(body); err != nil {
			return nil, c.cutOff(ctx, err)
		}
	default:
		ctx.Response().Header().Set("Accept-Encoding", "gzip")
		return nil, &refusal{gen.ProblemTypeUnsupportedMediaType, "Send the body as it is, or compressed with the Content-Encoding gzip.", ""}
	}
	all, err := io.ReadAll(body)
	if err != nil {
		return nil, c.cutOff(ctx, err)
	}
	request.Header.Del("Content-Encoding")
	return all, nil
}

// opened is what a gzip stream holds, as bounded as a body that is not compressed.
func opened(packed io.Reader) (io.Reader, error) {
	unpacked, err := gzip.NewReader(packed)
	if err != nil {
		return nil, err
	}
	return http.MaxBytesReader(nil, unpacked, maxBody), nil
}

// cutOff is why a body could not be read to its end.
func (c *contract) cutOff(ctx echo.Context, err error) error {
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge):
		return &refusal{gen.ProblemTypeTooLarge, fmt.Sprintf("The body is larger than %d MiB; send less at a time.", maxBody>>20), ""}
	case errors.Is(err, os.ErrDeadlineExceeded) && c.stopping.Err() != nil:
		return &refusal{gen.ProblemTypeUnavailable, "The service is being stopped; send it again in a while.", ""}
	case errors.Is(err, os.ErrDeadlineExceeded):
		ctx.Response().Header().Set("Connection", "close") // RFC 9110, 15.5.9
		return &refusal{gen.ProblemTypeRequestTimeout, "The body was not sent in time; send it again.", ""}
	case ctx.Request().Header.Get("Content-Encoding") != "":
		return &refusal{gen.ProblemTypeBadRequest, "The body is not gzip as its Content-Encoding says, or ended before it was complete.", ""}
	}
	return &refusal{gen.ProblemTypeBadRequest, "The body ended before it was complete.", ""}
}
