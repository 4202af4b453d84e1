package page

import (
	"cmp"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"

	"standin"
)

const (
	mostField = 2000    // bytes of a field of a form
	mostForm  = 8 << 10 // bytes of a form without files
	mostRest  = 1 << 30 // bytes of a body that are read although it is refused, so that its sender is told why
)

// sent is a form with files, as far as it was read.
type sent struct {
	url.Values
	in standin.Incoming
}

// AddImport receives a bundle from the form and has it checked.
func (p *Pages) AddImport(w http.ResponseWriter, r *http.Request, k Keeper) {
	u, err := p.receive(r, k)
	if err != nil {
		_, _ = io.CopyN(io.Discard, r.Body, mostRest) // whatever comes of it, the sender is told
		p.formFault(w, r, err)
		return
	}
	p.goTo(w, r, u)
}

// receive reads the form and submits what it sends.
func (p *Pages) receive(r *http.Request, k Keeper) (standin.Upload, error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return standin.Upload{}, bad("", "the form cannot be read; go back and send it again")
	}
	in, err := p.config.Intake.Receive(r.Context())
	if err != nil {
		return standin.Upload{}, err
	}
	defer in.Discard()
	form := sent{url.Values{}, in}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil {
			err = form.take(part, k)
		}
		if err != nil {
			return standin.Upload{}, formError(err)
		}
	}
	options := standin.UploadOptions{Check: true, Encoding: form.Get("encoding"), Replace: linesOf(form.Get("replace")),
		ReplaceStock: linesOf(form.Get("replace_stock"))}
	promise, err := onceOf(k, form.Get("key"), "import", options, in.Sum())
	if err != nil {
		return standin.Upload{}, err
	}
	return in.Submit(r.Context(), standin.NewUpload{By: k.By, Options: options}, promise)
}

// take takes one part of a form. That the form is of these pages is known before its
// first file is.
func (form sent) take(part *multipart.Part, k Keeper) error {
	name := part.FormName()
	if part.FileName() == "" && name != "file" && name != "mapping" {
		text, err := io.ReadAll(io.LimitReader(part, mostField+1))
		if len(text) > mostField {
			return bad(name, "%s is longer than %d characters", shortened(name), mostField)
		}
		form.Set(name, strings.TrimSpace(string(text)))
		return err
	}
	switch {
	case !isOurs(form.Get("form"), k):
		return notOurs()
	case part.FileName() == "": // none was chosen
		_, err := io.CopyN(io.Discard, part, 1)
		if errors.Is(err, io.EOF) {
			return nil
		}
		return err
	case name == "mapping":
		return form.in.AddMapping(part)
	}
	return form.in.Add(part.FileName(), part)
}

// formError keeps what has a sentence; a form that breaks off has none.
func formError(err error) error {
	if known, ok := errors.AsType[*standin.Error](err); ok {
		return known
	}
	return &standin.Error{Code: standin.CodeBadRequest, Message: "the files did not come whole; go back and send them again", Cause: err}
}

// linesOf are the lines of a text that have anything in them.
func linesOf(text string) (lines []string) {
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// TakeUpload has what was checked be taken in.
func (p *Pages) TakeUpload(w http.ResponseWriter, r *http.Request, k Keeper) {
	p.act(w, r, k, func(form url.Values, promise standin.Once) (standin.Upload, error) {
		return p.config.Intake.Take(r.Context(), form.Get("id"), consentsGiven(form["consent"]), k.By, promise)
	})
}

// UndoUpload has an import be taken back.
func (p *Pages) UndoUpload(w http.ResponseWriter, r *http.Request, k Keeper) {
	p.act(w, r, k, func(form url.Values, promise standin.Once) (standin.Upload, error) {
		u, err := p.uploadOf(r.Context(), form.Get("id"))
		if err != nil {
			return u, err
		}
		return p.config.Intake.UndoUpload(r.Context(), cmp.Or(u.Import.ID, u.Undoes), consentsGiven(form["consent"]), k.By, promise)
	})
}

// act does what a form without files asks for, and goes on to the upload.
func (p *Pages) act(w http.ResponseWriter, r *http.Request, k Keeper, do func(url.Values, standin.Once) (standin.Upload, error)) {
	var u standin.Upload
	form, promise, err := readForm(w, r, k)
	if err == nil {
		u, err = do(form, promise)
	}
	if err != nil {
		p.formFault(w, r, err)
		return
	}
	p.goTo(w, r, u)
}

// readForm reads a form without files that a page of ours sent, and the promise that it
// is acted upon once.
func readForm(w http.ResponseWriter, r *http.Request, k Keeper) (url.Values, standin.Once, error) {
	if r.PostForm == nil {
		r.Body = http.MaxBytesReader(w, r.Body, mostForm)
	}
	if err := r.ParseForm(); err != nil {
		return nil, standin.Once{}, bad("", "the form cannot be read; go back and send it again")
	}
	if !isOurs(r.PostForm.Get("form"), k) {
		return nil, standin.Once{}, notOurs()
	}
	promise, err := onceOf(k, r.PostForm.Get("key"), r.URL.Path, asked(r.PostForm))
	return r.PostForm, promise, err
}

// asked is a form without what makes it a form of these pages.
func asked(form url.Values) url.Values {
	rest := maps.Clone(form)
	rest.Del("form")
	rest.Del("key")
	return rest
}

func isOurs(shown string, k Keeper) bool {
	return subtle.ConstantTimeCompare([]byte(shown), []byte(k.Form)) == 1
}

func notOurs() error {
	return &standin.Error{Code: standin.CodeForbidden, Message: "the form is not of this page, or somebody else has signed in since; go back, load the page again and send it from there"}
}

// onceOf is the promise that a form is acted upon once.
func onceOf(k Keeper, key string, asked ...any) (standin.Once, error) {
	if key == "" || len(key) > maxText {
		return standin.Once{}, bad("key", "the form is not complete; go back, load the page again and send it from there")
	}
	text, err := json.Marshal(asked)
	return standin.Once{Token: k.Token, Key: key, Request: sha256.Sum256(text)}, err
}

// goTo leads to the page of an upload.
func (p *Pages) goTo(w http.ResponseWriter, r *http.Request, u standin.Upload) {
	http.Redirect(w, r, p.config.Base+uploadLink(u.ID), http.StatusSeeOther)
}

// formFault sends a page for an error of a form, which leads back to where forms are.
func (p *Pages) formFault(w http.ResponseWriter, r *http.Request, err error) {
	at := r.Clone(r.Context())
	at.URL = &url.URL{Path: "/import"}
	p.fault(w, at, err)
}
