package api

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
	"standin/api/sheet"
	"standin/openapi/gen"
)

// GetSheet prints the job sheet.
func (h *handlers) GetSheet(ctx context.Context, request gen.GetSheetRequestObject) (gen.GetSheetResponseObject, error) {
	pdf, err := h.print(ctx, jobAsked(request.Params), func(j *standin.Job) (printed, error) {
		return &sheet.Sheet{Job: j, Bench: baseAddress(ctx) + pages.BenchLink(j)}, nil
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
		return &sheet.Label{Job: j, Family: family}, err
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

// addressed tells a call the address at which the client reached the service,
// or the one that was set for it: what is printed leads back there.
func (h *handlers) addressed(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		base := h.publicURL
		if base == "" {
			base = (&url.URL{Scheme: scheme(c), Host: c.Request().Host}).String()
		}
		r := c.Request()
		c.SetRequest(r.WithContext(context.WithValue(r.Context(), baseKey{}, base)))
		return next(c)
	}
}

// scheme is that of the connection: a header about it is anybody's word.
func scheme(c echo.Context) string {
	if c.IsTLS() {
		return "https"
	}
	return "http"
}

// CheckPublicURL tells what is wrong with an address of the service, nil where
// nothing is, or there is none.
func CheckPublicURL(text string) error {
	if text == "" {
		return nil
	}
	u, err := url.Parse(text)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" || u.RawQuery != "" || u.Fragment != "" {
		return fmt.Errorf("%q is no address of a service; give it as https://boards.example", text)
	}
	return nil
}
