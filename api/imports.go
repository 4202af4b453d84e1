package api

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"standin"
	"standin/openapi/gen"
)

const (
	findingsInProblem = 20
	defaultFindings   = 200
	mostFindings      = 1000 // that are kept of an upload
)

// withIntake refuses calls about bundles where there is nothing to take them in.
func (h *handlers) withIntake(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if h.intake == nil {
			return &standin.Error{Code: standin.CodeNotFound, Message: "This service takes no bundles in."}
		}
		return next(c)
	}
}

// mayImport returns an error where the bearer may change the stock of one location
// alone: a bundle may hold that of any.
func mayImport(ctx context.Context) error {
	if token := bearer(ctx); token.Location != "" {
		return &standin.Error{Code: standin.CodeForbidden, Message: fmt.Sprintf(
			"The token %s is for the stock at %s alone, and a bundle may change any.", token.Name, token.Location)}
	}
	return nil
}

// ListImports is one page of imports.
func (h *handlers) ListImports(ctx context.Context, request gen.ListImportsRequestObject) (gen.ListImportsResponseObject, error) {
	before, err := decodeID(request.Params.After)
	if err != nil {
		return nil, err
	}
	limit := cmp.Or(deref(request.Params.Limit), defaultLimit)
	imports, err := h.intake.ListImports(ctx, before, limit+1)
	if err != nil {
		return nil, err
	}
	imports, last, more := page(imports, limit)
	answer := gen.ListImports200JSONResponse{Body: gen.Imports{Imports: list(imports, encodeImport)}}
	if more {
		answer.Headers.Link = h.nextPage("/v1/imports", limit, nil, strconv.FormatInt(last.ID, 10))
	}
	return answer, nil
}

// GetImport is one upload, or what is known of one import.
func (h *handlers) GetImport(ctx context.Context, request gen.GetImportRequestObject) (gen.GetImportResponseObject, error) {
	u, err := h.uploadOf(ctx, request.ID)
	if err != nil {
		return nil, err
	}
	if u, err = h.awaitEnd(ctx, u, request.Params.Wait); err != nil {
		return nil, err
	}
	return gen.GetImport200JSONResponse{Body: encodeUpload(u)}, nil
}

// uploadOf finds an upload by its id, or by the number of its import.
func (h *handlers) uploadOf(ctx context.Context, id string) (standin.Upload, error) {
	if number, err := strconv.ParseInt(id, 10, 64); err == nil {
		return h.intake.UploadOfImport(ctx, number)
	}
	return h.intake.UploadOf(ctx, id)
}

// awaitEnd waits for the end of an upload where that is asked, and no longer than the
// service is to last.
func (h *handlers) awaitEnd(ctx context.Context, u standin.Upload, seconds *int) (standin.Upload, error) {
	wait := time.Duration(deref(seconds)) * time.Second
	if wait == 0 || !u.State.UnderWay() {
		return u, nil
	}
	waiting, cancel := context.WithCancel(ctx)
	defer cancel()
	go func() {
		select {
		case <-h.stopping:
			cancel()
		case <-waiting.Done():
		}
	}()
	if err := h.intake.AwaitUpload(waiting, u.ID, wait); err != nil {
		return u, err
	}
	return h.intake.UploadOf(ctx, u.ID)
}

// ListFindings is one page of what was found in an upload.
func (h *handlers) ListFindings(ctx context.Context, request gen.ListFindingsRequestObject) (gen.ListFindingsResponseObject, error) {
	after, err := decodeID(request.Params.After)
	if err != nil {
		return nil, err
	}
	u, err := h.uploadOf(ctx, request.ID)
	if err != nil {
		return nil, err
	}
	inCSV, limit := wantsCSV(ctx), cmp.Or(deref(request.Params.Limit), defaultFindings)
	if inCSV {
		limit = cmp.Or(deref(request.Params.Limit), mostFindings)
	}
	findings, err := h.intake.FindingsOf(ctx, u.ID, int(after), limit+1)
	if err != nil {
		return nil, err
	}
	findings, _, more := page(findings, limit)
	var next *string
	if more {
		next = h.nextPage("/v1/imports/"+request.ID+"/findings", limit, nil, strconv.Itoa(int(after)+limit))
	}
	if !inCSV {
		return gen.ListFindings200JSONResponse{
			Body: gen.Findings{Findings: list(findings, encodeFinding)}, Headers: gen.ListFindings200ResponseHeaders{Link: next},
		}, nil
	}
	var text strings.Builder
	if err := h.intake.EncodeFindings(&text, findings); err != nil {
		return nil, err
	}
	return gen.ListFindings200TextCsvResponse{
		Body: strings.NewReader(text.String()), ContentLength: int64(text.Len()), Headers: gen.ListFindings200ResponseHeaders{Link: next},
	}, nil
}

// ListImportChanges is one page of the rows that an upload or import changes.
func (h *handlers) ListImportChanges(ctx context.Context, request gen.ListImportChangesRequestObject) (gen.ListImportChangesResponseObject, error) {
	after, err := decodeID(request.Params.After)
	if err != nil {
		return nil, err
	}
	u, err := h.uploadOf(ctx, request.ID)
	if err != nil {
		return nil, err
	}
	limit := cmp.Or(deref(request.Params.Limit), defaultLimit)
	changes, err := h.intake.ChangesOf(ctx, u, int(after), limit+1)
	if err != nil {
		return nil, err
	}
	changes, _, more := page(changes, limit)
	answer := gen.ListImportChanges200JSONResponse{Body: gen.ImportChanges{Changes: list(changes, encodeImportChange)}}
	if more {
		answer.Headers.Link = h.nextPage("/v1/imports/"+request.ID+"/changes", limit, nil, strconv.Itoa(int(after)+limit))
	}
	return answer, nil
}

// TakeImport imports what was only checked.
func (h *handlers) TakeImport(ctx context.Context, request gen.TakeImportRequestObject) (gen.TakeImportResponseObject, error) {
	consents := consentsOf(request.Params.Consent)
	u, promise, err := h.toChange(ctx, request.ID, request.Params.IdempotencyKey, "takeImport", consents)
	if err != nil {
		return nil, err
	}
	if u, err = h.intake.Take(ctx, u.ID, consents, bearer(ctx).Name, promise); err != nil {
		return nil, err
	}
	u, err = h.end(ctx, u, request.Params.Wait)
	body, at := encodeUpload(u), h.uploadAddress(u)
	switch {
	case err != nil:
		return nil, err
	case u.State.UnderWay():
		return gen.TakeImport202JSONResponse{Body: body, Headers: gen.TakeImport202ResponseHeaders{Location: at}}, nil
	case u.Import.ID != 0:
		return gen.TakeImport201JSONResponse{Body: body, Headers: gen.TakeImport201ResponseHeaders{Location: at}}, nil
	}
	return gen.TakeImport200JSONResponse(body), nil
}

// UndoImport has an import be undone.
func (h *handlers) UndoImport(ctx context.Context, request gen.UndoImportRequestObject) (gen.UndoImportResponseObject, error) {
	consents := consentsOf(request.Params.Consent)
	u, promise, err := h.toChange(ctx, request.ID, request.Params.IdempotencyKey, "undoImport", consents)
	if err != nil {
		return nil, err
	}
	if u.Import.ID == 0 {
		return nil, &standin.Error{Code: standin.CodeNotFound, Field: "id", Message: fmt.Sprintf("upload %s has made no import that could be undone", u.ID)}
	}
	if u, err = h.intake.UndoUpload(ctx, u.Import.ID, consents, bearer(ctx).Name, promise); err != nil {
		return nil, err
	}
	u, err = h.end(ctx, u, request.Params.Wait)
	body, at := encodeUpload(u), h.uploadAddress(u)
	switch {
	case err != nil:
		return nil, err
	case u.State.UnderWay():
		return gen.UndoImport202JSONResponse{Body: body, Headers: gen.UndoImport202ResponseHeaders{Location: at}}, nil
	case u.Import.ID != 0:
		return gen.UndoImport201JSONResponse{Body: body, Headers: gen.UndoImport201ResponseHeaders{Location: at}}, nil
	}
	return gen.UndoImport200JSONResponse(body), nil
}

// toChange is the upload that is to be taken or whose import is to be undone, once for
// a key, by somebody who may.
func (h *handlers) toChange(ctx context.Context, id, key, operation string, consents standin.Consents) (u standin.Upload, promise standin.Once, err error) {
	if promise, err = once(ctx, key, operation, id, consents); err != nil {
		return u, promise, err
	}
	if err = mayImport(ctx); err != nil {
		return u, promise, err
	}
	u, err = h.uploadOf(ctx, id)
	return u, promise, err
}

// consentsOf are the consents of a request.
func consentsOf[C ~string](given *[]C) (consents standin.Consents) {
	for _, c := range deref(given) {
		consents = append(consents, standin.Consent(c))
	}
	return consents
}

func (h *handlers) uploadAddress(u standin.Upload) *string {
	at := h.base + "/v1/imports/" + u.ID
	return &at
}

// end waits for the end of an upload where that is asked. An end that nobody wished for
// is an error.
func (h *handlers) end(ctx context.Context, u standin.Upload, wait *int) (standin.Upload, error) {
	u, err := h.awaitEnd(ctx, u, wait)
	if err != nil || u.Err == nil || deref(wait) == 0 {
		return u, err
	}
	first, err := h.intake.FindingsOf(ctx, u.ID, 0, findingsInProblem)
	if err != nil {
		return u, err
	}
	return u, &uploadError{u.Err, u.ID, first}
}

// uploadError is why an upload was refused, failed or was lost.
type uploadError struct {
	why      *standin.Error
	upload   string
	findings []standin.Finding
}

func (e *uploadError) Error() string { return e.why.Error() }

// Unwrap is the error without the upload.
func (e *uploadError) Unwrap() error { return e.why }

// csvKey is where the context of a request says that CSV is wanted.
type csvKey struct{}

// choosing notes whether CSV or JSON is wanted.
func choosing(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		c.Response().Header().Add("Vary", "Accept")
		if prefersCSV(c.Request().Header.Values("Accept")) {
			c.SetRequest(c.Request().WithContext(context.WithValue(c.Request().Context(), csvKey{}, true)))
		}
		return next(c)
	}
}

func wantsCSV(ctx context.Context) bool { return ctx.Value(csvKey{}) != nil }

// prefersCSV reports whether CSV is accepted (RFC 9110, 12.5.1) and JSON is not
// preferred to it.
func prefersCSV(accept []string) bool {
	weights := map[string]float64{}
	for entry := range strings.SplitSeq(strings.Join(accept, ","), ",") {
		kind, parameters, _ := strings.Cut(entry, ";")
		weight := 1.0
		for p := range strings.SplitSeq(parameters, ";") {
			if text, ok := strings.CutPrefix(strings.TrimSpace(p), "q="); ok {
				weight, _ = strconv.ParseFloat(text, 64) // of what cannot be read: 0
			}
		}
		weights[strings.ToLower(strings.TrimSpace(kind))] = weight
	}
	return weights["text/csv"] > 0 && weights["text/csv"] >= weights["application/json"]
}

// sendUpload answers a bundle that was received.
func (h *handlers) sendUpload(c echo.Context, u standin.Upload) error {
	status := http.StatusOK
	switch {
	case u.State.UnderWay():
		status = http.StatusAccepted
	case u.Import.ID != 0:
		status = http.StatusCreated
	}
	if status != http.StatusOK {
		c.Response().Header().Set("Location", *h.uploadAddress(u))
	}
	return c.JSON(status, encodeUpload(u))
}
