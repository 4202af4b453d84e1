package page

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"standin"
)

// badMapping is the code of findings about a mapping itself.
const badMapping = "bad-mapping"

const (
	findingsShown = 200
	changesShown  = 10   // of each file
	mostDetailed  = 1000 // changes of each file that are kept of a check
)

// uploadPage is the page of one upload, or of one import.
type uploadPage struct {
	base
	ID       string
	Address  string // of the page
	Heading  string
	Verdict  string // fits, check, no or depends: how it stands, for its sign
	UnderWay bool
	Progress string
	Percent  int // 0: not known
	Text     string
	About    string // who, when, what

	Groups       []findingGroup
	Errors       int
	Warnings     int
	FindingsLeft int // that are not shown
	FindingsLink string

	Lifted []string // supply stops that are lifted
	Files  []changedFile

	MapLink      string // where the table's mapping is chosen; empty: it is no table, or not here any more
	Take         bool
	Consents     []consent
	Undo         bool
	UndoConsents []consent // that an undo was refused for want of
	UndoneBy     int64
	Undone       string // address of the import that undid it
	Form         formKeys
}

// findingGroup is what was found in one file.
type findingGroup struct {
	File     string
	Findings []standin.Finding
}

// changedFile is what changes of one file.
type changedFile struct {
	File    string
	Rows    string
	Changes []changedRow
	More    int
}

// changedRow is one row that changes.
type changedRow struct {
	Op     string
	Key    string
	Fields []standin.FieldChange
}

// uploadNames are the parameters of the page of an upload.
var uploadNames = []string{"id", "part"}

// Upload is the page of one upload; with part=true what changes of it alone, for the
// script that looks after one under way.
func (p *Pages) Upload(w http.ResponseWriter, r *http.Request, k Keeper) {
	query, fault := read(r, uploadNames)
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	id := query.Get("id")
	u, err := p.uploadOf(r.Context(), id)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	page, err := p.uploadPage(r.Context(), u, id, k)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	if query.Get("part") == "true" {
		p.fragment(w, r, "upload", "upload", page)
		return
	}
	p.show(w, r, http.StatusOK, "upload", page)
}

// uploadOf finds an upload by its id, or by the number of its import.
func (p *Pages) uploadOf(ctx context.Context, id string) (standin.Upload, error) {
	if number, err := strconv.ParseInt(id, 10, 64); err == nil {
		return p.config.Intake.UploadOfImport(ctx, number)
	}
	return p.config.Intake.UploadOf(ctx, id)
}

func (p *Pages) uploadPage(ctx context.Context, u standin.Upload, id string, k Keeper) (*uploadPage, error) {
	page := &uploadPage{
		base: p.bare(u.Bundle, ""), ID: id, Address: uploadLink(id), UnderWay: u.State.UnderWay(), Errors: u.Errors, Warnings: u.Warnings,
		About: fmt.Sprintf("%s, sent by %s, %s", u.Bundle, u.By, timeText(u.Created)), Form: newForm(k),
	}
	if u.Undoes != 0 || u.ID == "" {
		page.About = fmt.Sprintf("%s, by %s, %s", u.Bundle, u.By, timeText(u.Created))
	}
	page.state(u)
	if page.UnderWay {
		page.progress(u)
		return page, nil
	}
	findings, err := p.config.Intake.FindingsOf(ctx, u.ID, 0, mostDetailed)
	if err != nil {
		return nil, err
	}
	page.findings(findings)
	if err := p.changes(ctx, page, u); err != nil {
		return nil, err
	}
	page.mapping(u, findings)
	asked, enough := consentsAsked(findings, u.Errors)
	page.Consents, page.Take = asked, !u.KeptUntil.IsZero() && (u.State == standin.UploadChecked || enough)
	if !changesAnything(u.Files) && len(asked) == 0 {
		page.Take = false
	}
	if u.Err != nil && u.Undoes != 0 && u.Err.Field == "consent" {
		page.Undo, page.UndoConsents = true, consents[:1]
	}
	if made := u.Import; made.ID != 0 {
		page.Undo, page.UndoneBy = made.UndoneBy == 0, made.UndoneBy
		page.Undone = uploadLink(strconv.FormatInt(made.UndoneBy, 10))
	}
	return page, nil
}

// mapping leads to the mapping of what may be a supplier's table.
func (page *uploadPage) mapping(u standin.Upload, findings []standin.Finding) {
	mapped := u.Options.Mapping != ""
	for _, f := range findings {
		mapped = mapped || f.Code == standin.UnknownFile || f.Code == badMapping
	}
	if mapped && !u.KeptUntil.IsZero() {
		page.MapLink = link("/import/mapping", "id", u.ID)
	}
}

// state says how an upload stands.
func (page *uploadPage) state(u standin.Upload) {
	switch u.State {
	case standin.UploadWaiting:
		page.Heading, page.Verdict = "Waiting for its turn", "depends"
	case standin.UploadReading:
		page.Heading, page.Verdict = "It is being read", "depends"
	case standin.UploadChecking:
		page.Heading, page.Verdict = "It is being checked", "depends"
	case standin.UploadWriting:
		page.Heading, page.Verdict = "It is being taken in", "depends"
	case standin.UploadChecked:
		page.Heading, page.Verdict = "Checked; nothing is changed yet", "check"
		if !changesAnything(u.Files) {
			page.Heading, page.Verdict = "The catalogue has all of it already", "fits"
		}
	case standin.UploadDone:
		page.Heading, page.Verdict = fmt.Sprintf("Taken in, as import %d", u.Import.ID), "fits"
		if u.Undoes != 0 && u.Import.ID != 0 {
			page.Heading = fmt.Sprintf("Import %d is taken back, by import %d", u.Undoes, u.Import.ID)
		} else if u.Import.ID == 0 {
			page.Heading = "The catalogue has all of it already"
		}
	case standin.UploadRefused:
		page.Heading, page.Verdict = "It cannot be taken in; nothing is changed", "no"
		if u.Undoes != 0 {
			page.Heading = "It cannot be taken back; nothing is changed"
		}
	default:
		page.Heading, page.Verdict = "It was not taken in; nothing is changed", "no"
	}
	if u.Err != nil && u.Errors == 0 { // else its findings say it
		page.Text = standin.Sentence(u.Err.Message)
	}
}

func changesAnything(files []standin.FileDiff) bool {
	for _, f := range files {
		if f.Added+f.Changed+f.Removed > 0 {
			return true
		}
	}
	return false
}

// progress says how far an upload is.
func (page *uploadPage) progress(u standin.Upload) {
	switch {
	case u.State == standin.UploadReading:
		page.Progress = fmt.Sprintf("%s: %s rows read", u.File, thousands(u.Rows))
		page.Percent = int(u.Share * 100)
	case u.State == standin.UploadWaiting:
		page.Progress = "Others are before it. You may go away and come back to this address."
	case u.Rows > 0:
		page.Progress = thousands(u.Rows) + " rows"
	default:
		page.Progress = "Some moments more"
	}
}

// findings shows what was found by file, as far as it is shown.
func (page *uploadPage) findings(all []standin.Finding) {
	at := map[string]int{}
	for i, f := range all {
		if i == findingsShown {
			break
		}
		group, known := at[f.File]
		if !known {
			group = len(page.Groups)
			at[f.File] = group
			page.Groups = append(page.Groups, findingGroup{File: f.File})
		}
		page.Groups[group].Findings = append(page.Groups[group].Findings, f)
	}
	page.FindingsLeft = max(0, page.Errors+page.Warnings-findingsShown)
	if len(all) > 0 {
		page.FindingsLink = link("/import/findings", "id", page.ID)
	}
}

// changes shows what changes by file, with the first rows of each.
func (p *Pages) changes(ctx context.Context, page *uploadPage, u standin.Upload) error {
	at, made := 0, u.Import.ID != 0
	for _, f := range u.Files {
		n := f.Added + f.Changed + f.Removed
		if n == 0 {
			continue
		}
		limit := changesShown
		if f.File == "revisions" {
			limit = mostDetailed // all, for the supply stops among them
		}
		kept := n
		if !made {
			kept = min(n, mostDetailed)
		}
		rows, err := p.config.Intake.ChangesOf(ctx, u, at, min(limit, kept))
		if err != nil {
			return err
		}
		at += kept
		shown := changedFile{File: f.File, Rows: rowsText(f.Added, f.Changed, f.Removed)}
		for _, row := range rows {
			if lifted := liftedStop(row); lifted != "" {
				page.Lifted = append(page.Lifted, lifted)
			}
			if len(shown.Changes) < changesShown {
				shown.Changes = append(shown.Changes, changedRow{row.Op, keyText(row.Key), row.Fields})
			}
		}
		shown.More = n - len(shown.Changes)
		page.Files = append(page.Files, shown)
	}
	if len(u.Files) == 0 && made { // it was not sent here, or long ago
		return p.firstChanges(ctx, page, u)
	}
	return nil
}

// firstChanges shows the first rows of an import of which no more is kept.
func (p *Pages) firstChanges(ctx context.Context, page *uploadPage, u standin.Upload) error {
	page.Text = standin.Sentence(rowsText(u.Import.Added, u.Import.Changed, u.Import.Removed))
	rows, err := p.config.Intake.ChangesOf(ctx, u, 0, findingsShown)
	for _, row := range rows {
		last := len(page.Files) - 1
		if last < 0 || page.Files[last].File != row.File {
			page.Files, last = append(page.Files, changedFile{File: row.File}), last+1
		}
		if shown := &page.Files[last]; len(shown.Changes) < changesShown {
			shown.Changes = append(shown.Changes, changedRow{row.Op, keyText(row.Key), row.Fields})
		}
	}
	return err
}

// liftedStop names a revision whose supply stop a change takes back; empty: it does
// not.
func liftedStop(c standin.FileChange) string {
	for _, f := range c.Fields {
		if c.File == "revisions" && f.Column == "stop" && f.Before != "" && f.After == "" {
			return keyText(c.Key) + ": " + f.Before
		}
	}
	return ""
}

// keyText is the key of a row for people; what is not recorded is left out.
func keyText(key []standin.Field) string {
	var parts []string
	for _, f := range key {
		if f.Value != "" {
			parts = append(parts, f.Value)
		}
	}
	return strings.Join(parts, ", ")
}

// Findings sends what was found as CSV.
func (p *Pages) Findings(w http.ResponseWriter, r *http.Request, _ Keeper) {
	query, fault := read(r, uploadNames)
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	u, err := p.uploadOf(r.Context(), query.Get("id"))
	var findings []standin.Finding
	if err == nil {
		findings, err = p.config.Intake.FindingsOf(r.Context(), u.ID, 0, mostDetailed)
	}
	if err != nil {
		p.fault(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="findings.csv"`)
	if err := p.config.Intake.EncodeFindings(w, findings); err != nil {
		p.log.DebugContext(r.Context(), "findings could not be sent", "error", err)
	}
}
