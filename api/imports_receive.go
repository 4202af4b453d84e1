package api

import (
	"context"
	"encoding/hex"
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"standin"
	"standin/openapi/gen"
)

// mappingPart is the part of a form that is a mapping.
const mappingPart = "mapping"

// addImport receives a bundle. The contract has looked at its parameters; that of a
// streamed body no handler is generated for.
func (h *handlers) addImport(c echo.Context) error {
	request := c.Request()
	ctx := request.Context()
	if err := mayImport(ctx); err != nil {
		return err
	}
	key := request.Header.Get("Idempotency-Key")
	if _, ok := idempotencyKey(key); !ok { // before all of it is sent
		_, err := once(ctx, key, "addImport")
		return err
	}
	in, err := h.intake.Receive(ctx)
	if err != nil {
		return err
	}
	defer in.Discard()
	if err := receive(request, c.QueryParam("name"), in); err != nil {
		c.Response().Header().Set("Connection", "close") // the rest is not read
		return err
	}
	query := c.QueryParams()
	check, _ := strconv.ParseBool(query.Get("check"))
	options := standin.UploadOptions{Check: check, Replace: query["replace"], ReplaceStock: query["replace_stock"],
		Encoding: query.Get("encoding"), Consents: consentsOf(new(query["consent"]))}
	sum := in.Sum()
	promise, err := once(ctx, key, "addImport", options, hex.EncodeToString(sum[:]))
	if err != nil {
		return err
	}
	// Whoever has sent all of it may go: it is submitted.
	u, err := in.Submit(context.WithoutCancel(ctx), standin.NewUpload{By: bearer(ctx).Name, Options: options}, promise)
	if err != nil {
		return err
	}
	wait, _ := strconv.Atoi(query.Get("wait"))
	if u, err = h.end(ctx, u, &wait); err != nil {
		return err
	}
	return h.sendUpload(c, u)
}

// endings are those of a file by its media type.
var endings = map[string]string{
	"application/zip": ".zip",
	"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": ".xlsx",
	"text/csv": ".csv",
}

// receive passes the files of a body on.
func receive(r *http.Request, name string, in standin.Incoming) error {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil {
		return err
	}
	ending, one := endings[kind]
	switch {
	case !one && name != "":
		return badField("name", "name is of one file; those of a form have names of their own")
	case !one:
		parts, err := r.MultipartReader()
		if err != nil {
			return formRefusal(err)
		}
		return receiveForm(parts, in)
	case name == "" && ending == ".csv":
		return badField("name", "name is missing: that of the file in the bundle, as name=models.csv")
	case name == "":
		name = "bundle" + ending
	case !strings.HasSuffix(strings.ToLower(name), ending):
		return badField("name", "name must end in %s, as the Content-Type says", ending)
	}
	return in.Add(name, r.Body)
}

// receiveForm passes on the files of a form, whatever their parts are called.
func receiveForm(parts *multipart.Reader, in standin.Incoming) error {
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return formRefusal(err)
		}
		switch {
		case part.FormName() == mappingPart:
			err = in.AddMapping(part)
		case part.FileName() == "":
			err = badField(part.FormName(), "a part of the form is no file; what is no file goes into the address, as ?check=true")
		default:
			err = in.Add(part.FileName(), part)
		}
		if err != nil {
			return formRefusal(err)
		}
	}
}

// formRefusal is why a form cannot be read. What has a sentence of its own keeps it.
func formRefusal(err error) error {
	var known *standin.Error
	var refused *refusal
	if errors.As(err, &known) {
		return known
	}
	if errors.As(err, &refused) {
		return refused
	}
	return &refusal{gen.ProblemTypeBadRequest, "The form cannot be read, or ended before it was complete; send it as multipart/form-data with a boundary.", ""}
}
