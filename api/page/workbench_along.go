package page

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"slices"
	"time"

	"standin"
	"standin/api/locale"
	"standin/api/page/judge"
)

// along is what the script is told that takes jobs along, on every page of one.
type along struct {
	Copy   string // address of what is taken along
	Worker string // address of the script that answers without a signal
	Facts  string // tells whether what a job says has changed
	Size   string // of what is loaded once
	Reads  int    // step of the reading; 0: there is none
	Taken  *taken // nil: this page is from the server
}

// taken says what a copy is one of.
type taken struct {
	Version string
	At      time.Time
}

// Moment is when the copy was made, for scripts, and Said for people.
func (t taken) Moment() string { return t.At.UTC().Format(time.RFC3339) }

// Said is when the copy was made, until a script says it in the time of the place.
func (t taken) Said() string { return t.At.UTC().Format("2006-01-02 15:04 UTC") }

// filesAlong are the files that pages need without a signal.
var filesAlong = []string{
	"standin.css", "standin.js", "mark.svg", "bench.css", "bench.js", "along-store.js", "along-send.js", "along.js", "along-copy.js",
	"wasm_exec.js", "judge.wasm.gz",
}

// sizeAlong is what these take together.
var sizeAlong = func() string {
	var bytes int64
	for _, name := range filesAlong {
		info, err := fs.Stat(static, "static/"+name)
		if err != nil {
			panic(err) // the files are in the program
		}
		bytes += info.Size()
	}
	return fmt.Sprintf("%.1f MB", float64(bytes)/1e6)
}()

// alongOf is what the script is told on the pages of a job.
func alongOf(j *standin.Job, stages []stage) along {
	return along{
		Copy: jobLink("/bench/copy", &j.Answer.Machine, j.Board.PartNumber, j.Board.Revision), Worker: workerPath,
		Facts: sumOf(saysOf(j, stages)), Size: sizeAlong,
		Reads: slices.IndexFunc(stages, func(s stage) bool { return s.Kind == stageReading }) + 1,
	}
}

// alongPage shows what was taken along in this browser, and what waits to be sent.
type alongPage struct {
	base
	Along along
	Send  string // where fittings are sent to; empty: nowhere
}

// Along is the page of what was taken along. All that it shows is in the browser.
func (p *Pages) Along(w http.ResponseWriter, r *http.Request) {
	if _, fault := read(r, []string{"none"}); fault != nil {
		p.fault(w, r, fault)
		return
	}
	page := &alongPage{base: p.bare("Taken along", ""), Along: along{Worker: workerPath, Size: sizeAlong}}
	if p.config.Shop != nil {
		page.Send = sendPath
	}
	p.show(w, r, http.StatusOK, "along", page)
}

const (
	workerPath = "/bench/worker.js"
	sendPath   = "/bench/fitting"
)

// workerPolicy lets the worker ask this service, and nothing else.
const workerPolicy = "default-src 'none'; script-src 'self'; connect-src 'self'"

// Worker sends the script that answers without a signal. It answers for the bench
// alone, whose addresses do not end in a slash.
func (p *Pages) Worker(w http.ResponseWriter, r *http.Request) {
	text, err := static.ReadFile("static/along-worker.js")
	if err != nil {
		panic(err) // the file is in the program
	}
	header := w.Header()
	header.Set("Content-Type", "text/javascript; charset=utf-8")
	header.Set("Content-Security-Policy", workerPolicy)
	header.Set("Service-Worker-Allowed", p.config.Base+"/bench")
	header.Set("Cache-Control", "no-cache")
	// The address of what it needs is in it, so that it is another when that is.
	if _, err := fmt.Fprintf(w, "importScripts(%q);\n%s", p.config.Base+assets["along-store.js"], text); err != nil {
		p.log.DebugContext(r.Context(), "a script could not be sent", "error", err)
	}
}

// jobCopy is a job as it is taken along: what it says, and every page of it.
type jobCopy struct {
	Key     string            `json:"key"` // of the job
	Machine string            `json:"machine"`
	Board   string            `json:"board"`
	Start   string            `json:"start"` // address of its first page
	Version string            `json:"version"`
	Taken   string            `json:"taken"`
	Facts   string            `json:"facts"`
	Says    []says            `json:"says"`
	Policy  string            `json:"policy"` // of its pages
	Pages   map[string]string `json:"pages"`  // by address
	Files   []string          `json:"files"`  // addresses
	Judge   string            `json:"judge"`  // judge.Taken as JSON; empty: there is nothing to read back
}

// refusal says why there is no job, or no longer.
type refusal struct {
	Refused string `json:"refused"`
}

// Copy sends a job to be taken along: all of it from one state of the catalogue.
func (p *Pages) Copy(w http.ResponseWriter, r *http.Request) {
	query, fault := read(r, jobNames)
	if fault != nil {
		p.sendCopy(w, r, http.StatusBadRequest, refusal{fault.Message})
		return
	}
	m, fault := readMachine(query)
	if fault != nil {
		p.sendCopy(w, r, http.StatusBadRequest, refusal{fault.Message})
		return
	}
	j, err := standin.AskJob(r.Context(), p.config.Catalogue, m, query.Get("part_number"), query.Get("revision"))
	if err == nil {
		var made *jobCopy
		if made, err = p.jobCopy(r, j); err == nil {
			p.sendCopy(w, r, http.StatusOK, made)
			return
		}
	}
	var known *standin.Error
	if !errors.As(err, &known) {
		p.log.ErrorContext(r.Context(), "a job could not be copied", "error", err)
		p.sendCopy(w, r, http.StatusInternalServerError, refusal{"The program failed at this job; its log has the cause."})
		return
	}
	status := statuses[known.Code]
	if said, ok := noJobHeadings[known.Code]; ok {
		status = said.status
	}
	if status == 0 {
		status = http.StatusInternalServerError
	}
	p.sendCopy(w, r, status, refusal{standin.Sentence(known.Message)})
}

func (p *Pages) sendCopy(w http.ResponseWriter, r *http.Request, status int, value any) {
	header := w.Header()
	header.Set("Content-Type", "application/json")
	header.Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	if err := json.NewEncoder(w).Encode(value); err != nil {
		p.log.DebugContext(r.Context(), "a copy could not be sent", "error", err)
	}
}

// jobCopy is a job with its pages as they are without a signal.
func (p *Pages) jobCopy(r *http.Request, j *standin.Job) (*jobCopy, error) {
	family, err := j.Prepared(r.Context(), p.config.Catalogue)
	if err != nil {
		return nil, err
	}
	stages := stagesOf(j)
	head := p.jobHead(j, stages)
	version := standin.Figure(float64(j.Answer.CatalogueVersion))
	head.Along.Taken = &taken{version, time.Now()}
	made := &jobCopy{
		Key: head.Key, Machine: head.Machine, Board: head.Board, Start: p.config.Base + head.Start, Version: version, Taken: head.Along.Taken.Moment(),
		Facts: head.Along.Facts, Says: saysOf(j, stages), Policy: copyPolicy,
	}
	for _, name := range filesAlong {
		made.Files = append(made.Files, p.config.Base+assets[name])
	}
	if family != nil {
		text, err := json.Marshal(judge.Taken{Family: family.FamilyRecord, Version: family.CatalogueVersion, Code: j.Code, Pattern: j.Pattern})
		if err != nil {
			return nil, err
		}
		made.Judge = string(text)
	}
	made.Pages, err = p.pagesAlong(locale.OfRequest(r), j, stages, head)
	return made, err
}
