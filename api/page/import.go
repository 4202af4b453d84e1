package page

import (
	"crypto/rand"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"standin"
)

// Keeper is who changes the catalogue or the stock through the pages.
type Keeper struct {
	By    string // for the record
	Token int64  // whose idempotency keys are used; 0: nobody's in particular
	At    string // the one location that may be changed; empty: any
	Form  string // what every form sends back, so that no other site can send one
}

// lastImports is how many imports the page lists.
const lastImports = 20

// importPage is the page where bundles are sent to.
type importPage struct {
	base
	By      string
	Form    formKeys
	Imports []importRow
}

// formKeys are what every form sends back.
type formKeys struct {
	Form string // that it is of these pages
	Key  string // that it is sent once
}

// importRow is one import as it is listed.
type importRow struct {
	Number             int64
	At, By, Bundle     string
	Rows               string
	Link               string
	Undoes, UndoneLink string // empty: none
	UndoneBy           int64
}

// Import is the page where bundles are sent to.
func (p *Pages) Import(w http.ResponseWriter, r *http.Request, k Keeper) {
	imports, err := p.config.Intake.ListImports(r.Context(), 0, lastImports)
	if err != nil {
		p.fault(w, r, err)
		return
	}
	page := importPage{base: p.bare("Catalogue", ""), By: k.By, Form: newForm(k)}
	for _, i := range imports {
		page.Imports = append(page.Imports, rowOf(i))
	}
	w.Header().Set("Cache-Control", "no-store") // its key is to be used once
	p.show(w, r, http.StatusOK, "import", page)
}

func newForm(k Keeper) formKeys { return formKeys{k.Form, rand.Text()} }

func rowOf(i standin.Import) importRow {
	row := importRow{
		Number: i.ID, At: timeText(i.At), By: i.By, Bundle: i.Bundle, Rows: rowsText(i.Added, i.Changed, i.Removed),
		Link: uploadLink(strconv.FormatInt(i.ID, 10)), UndoneBy: i.UndoneBy,
	}
	if i.UndoneBy != 0 {
		row.UndoneLink = uploadLink(strconv.FormatInt(i.UndoneBy, 10))
	}
	return row
}

// timeText is a time for people who keep a catalogue: to the minute, UTC.
func timeText(t time.Time) string { return t.UTC().Format("2006-01-02 15:04 UTC") }

// rowsText counts rows: "31 added, 2 changed"; those of which there are none are left
// out.
func rowsText(added, changed, removed int) string {
	var parts []string
	for _, one := range []struct {
		n    int
		word string
	}{{added, "added"}, {changed, "changed"}, {removed, "removed"}} {
		if one.n > 0 {
			parts = append(parts, fmt.Sprintf("%s %s", thousands(one.n), one.word))
		}
	}
	if len(parts) == 0 {
		return "nothing changes"
	}
	return strings.Join(parts, ", ")
}

// thousands is a number with commas.
func thousands(n int) string {
	digits := []rune(strconv.Itoa(n))
	var b strings.Builder
	for i, d := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(d)
	}
	return b.String()
}

// uploadLink is the address of the page of an upload, or of an import by its number.
func uploadLink(id string) string { return link("/import/upload", "id", id) }

// consent is one that a keeper may give by a tick.
type consent struct {
	Name  standin.Consent // of the tick
	Text  string
	codes []string // of the findings that ask for it
}

// consents are all that there are.
var consents = []consent{
	{standin.LiftStops, "I have read which supply stops are lifted, and they are to be lifted", []string{standin.LiftedStop}},
	{standin.Shrink, "The rows that the files no longer have are gone indeed", []string{standin.Shrunk, standin.CutShort}},
	{standin.SkipUnknownStock, "Leave out the stock of what the catalogue does not know", []string{standin.UnknownStock}},
}

// consentsAsked are those that the findings of an upload ask for, and whether nothing
// else is in its way.
func consentsAsked(findings []standin.Finding, errors int) (asked []consent, enough bool) {
	met := 0
	for _, c := range consents {
		n := 0
		for _, f := range findings {
			if f.Severity == standin.SeverityError && slices.Contains(c.codes, f.Code) {
				n++
			}
		}
		if n > 0 {
			asked = append(asked, c)
		}
		met += n
	}
	return asked, met == errors
}

// consentsGiven are those whose ticks were sent.
func consentsGiven(ticked []string) (given standin.Consents) {
	for _, c := range consents {
		if slices.Contains(ticked, string(c.Name)) {
			given = append(given, c.Name)
		}
	}
	return given
}
