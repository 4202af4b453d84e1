package page

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"net/http"
	"strings"
	"sync"
)

// policy lets a page use what comes from the program itself and nothing else:
// no script, style or form target from anywhere else, and nothing inline.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

//go:embed template
var templates embed.FS

// views are the pages' templates by the name of their folder. Each is the layout
// with the templates of the folder, of which one is "content".
var views = parseViews()

func parseViews() map[string]*template.Template {
	layout := template.Must(template.New("layout").Funcs(functions).Option("missingkey=error").
		ParseFS(templates, "template/*.html"))
	folders, err := fs.ReadDir(templates, "template")
	if err != nil {
		panic(err) // the files are in the program
	}
	parsed := map[string]*template.Template{}
	for _, f := range folders {
		if f.IsDir() {
			view := template.Must(layout.Clone())
			parsed[f.Name()] = template.Must(view.ParseFS(templates, "template/"+f.Name()+"/*.html"))
		}
	}
	return parsed
}

// buffers are used again, as a page is many times the size of its parts.
var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// show sends a page: the named view's layout around its content.
func (p *Pages) show(w http.ResponseWriter, r *http.Request, status int, view string, data any) {
	p.execute(w, r, status, view, "layout", data)
}

// fragment sends the named template of a view alone, for the script to put in.
func (p *Pages) fragment(w http.ResponseWriter, r *http.Request, view, name string, data any) {
	p.execute(w, r, http.StatusOK, view, name, data)
}

// execute renders into memory first, so that a page is whole or not sent.
func (p *Pages) execute(w http.ResponseWriter, r *http.Request, status int, view, name string, data any) {
	b := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(b)
	b.Reset()
	if err := render(b, view, name, data); err != nil {
		p.log.ErrorContext(r.Context(), "a page could not be rendered", "view", view, "error", err)
		http.Error(w, "The program failed at this page; its log has the cause.", http.StatusInternalServerError)
		return
	}
	header := w.Header()
	header.Set("Content-Type", "text/html; charset=utf-8")
	header.Set("Content-Security-Policy", policy)
	said := spokenTo(r, view, b.Bytes(), header)
	w.WriteHeader(status)
	if err := p.send(w, said); err != nil {
		p.log.DebugContext(r.Context(), "a page could not be sent", "error", err)
	}
}

// send writes a page with its links below the base.
func (p *Pages) send(w io.Writer, page []byte) error {
	if p.rebase == nil {
		_, err := w.Write(page)
		return err
	}
	_, err := p.rebase.WriteString(w, string(page))
	return err
}

// rebaser puts addresses that begin at the root below a base, in the attributes that
// hold them. Text cannot look like one: templates escape its quotes.
func rebaser(base string) *strings.Replacer {
	if base == "" {
		return nil
	}
	var pairs []string
	for _, attribute := range []string{"href", "src", "action", "data-href", "data-suggest", "data-copy", "data-worker", "data-send"} {
		pairs = append(pairs, " "+attribute+`="/`, " "+attribute+`="`+base+"/")
	}
	return strings.NewReplacer(pairs...)
}

func render(b *bytes.Buffer, view, name string, data any) error {
	v := views[view]
	if v == nil {
		return fmt.Errorf("there is no view %q", view)
	}
	return v.ExecuteTemplate(b, name, data)
}
