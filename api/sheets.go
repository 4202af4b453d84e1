package api

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"standin"
	"standin/api/locale"
	pages "standin/api/page"
	"standin/api/sheet"
	"standin/openapi/gen"
)

// GetSheet prints the job sheet.
func (h *handlers) GetSheet(ctx context.Context, request gen.GetSheetRequestObject) (gen.GetSheetResponseObject, error) {
	pdf, err := h.print(ctx, jobAsked(request.Params), func(j *standin.Job) (printed, error) {
		return &sheet.Sheet{Job: j, Bench: benchAddress(ctx, j), Language: locale.Of(ctx)}, nil
	})
	if err != nil {
		return nil, err
	}
	return gen.GetSheet200ApplicationPdfResponse{Body: pdf}, nil
}

// GetLabel prints the shelf label.
func (h *handlers) GetLabel(ctx context.Context, request gen.GetLabelRequestObject) (gen.GetLabelResponseObject, error) {
	pdf, err := h.print(ctx, jobAsked(request.Params), func(j *standin.Job) (printed, error) {
		family, err := j.Prepared(ctx, h.catalogue)
		return &sheet.Label{Job: j, Family: family, Language: locale.Of(ctx)}, err
	})
	if err != nil {
		return nil, err
	}
	return gen.GetLabel200ApplicationPdfResponse{Body: pdf}, nil
}

// jobAsked are the parameters of what is printed.
type jobAsked gen.GetSheetParams

// printed is something on paper.
type printed interface{ PDF() ([]byte, error) }

func (h *handlers) print(ctx context.Context, p jobAsked, of func(*standin.Job) (printed, error)) (io.Reader, error) {
	m, err := machineAsked(p)
	if err != nil {
		return nil, err
	}
	j, err := standin.AskJob(ctx, h.catalogue, m, strings.TrimSpace(p.PartNumber), strings.TrimSpace(deref(p.Revision)))
	if err != nil {
		return nil, err
	}
	paper, err := of(j)
	if err != nil {
		return nil, err
	}
	pdf, err := paper.PDF()
	if err != nil {
		return nil, fmt.Errorf("what is to be printed for %s: %w", j.Board.PartNumber, err)
	}
	return bytes.NewReader(pdf), nil
}

func machineAsked(p jobAsked) (standin.Machine, error) {
	plug, noPlug, err := standin.ParsePlug(deref(p.Plug))
	if err != nil {
		return standin.Machine{}, badField("plug", "%v", err)
	}
	m, fault := decodeMachine(gen.MachineAsked{
		Brand: p.Brand, Model: p.Model, Variant: p.Variant,
		Made: p.Made, Serial: p.Serial, Plug: &plug, NoPlug: &noPlug,
		OldPart: p.OldPart, Position: p.Position, Location: p.Location,
	})
	if fault != nil {
		return m, fault
	}
	return m, nil
}

// baseKey is the key of a request's context for the address of the service.
type baseKey struct{}

func baseAddress(ctx context.Context) string {
	base, _ := ctx.Value(baseKey{}).(string)
	return base
}

// addressed tells a call the address that was set for the service, else the one at
// which the connection came in: what is printed leads back there. What a client
// calls the service does not count, for it may call it anything.
func (h *handlers) addressed(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		base := h.publicURL
		if local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr); ok && base == "" {
			base = (&url.URL{Scheme: scheme(c), Host: local.String()}).String()
		}
		c.SetRequest(r.WithContext(context.WithValue(r.Context(), baseKey{}, base)))
		return next(c)
	}
}

// benchAddress is where the bench page of a job is; empty where the service has no
// address that is known.
func benchAddress(ctx context.Context, j *standin.Job) string {
	if base := baseAddress(ctx); base != "" {
		return base + pages.BenchLink(j)
	}
	return ""
}

// scheme is that of the connection: a header about it is anybody's word.
func scheme(c echo.Context) string {
	if c.IsTLS() {
		return "https"
	}
	return "http"
}
