package page

import (
	"fmt"
	"net/http"
	"time"

	"standin"
)

// holdsShown is how many open holds the first page names.
const holdsShown = 8

// counterPage is the page with the one field, before anything is typed.
type counterPage struct {
	base
	Holds     []heldLine
	MoreHolds bool
	Imported  *importedLine // nil: nothing is known of it
}

// heldLine is an open hold.
type heldLine struct {
	What, Where, Until string
	For                string // whom, and which job; empty: neither is recorded
	Link               string // to the board
}

// importedLine is the last import.
type importedLine struct {
	Version     int64
	Bundle, Age string
	At, By      string
}

// Counter is the page with the one field; with something typed, it leads there.
func (p *Pages) Counter(w http.ResponseWriter, r *http.Request) {
	query, fault := read(r, findNames)
	switch {
	case fault != nil:
		p.fault(w, r, fault)
		return
	case query.Get("q") != "":
		p.find(w, r, query)
		return
	}
	page := counterPage{base: p.base(r, "Counter", query.Get("location"))}
	page.Focus = true
	// The page is there for the field: what else cannot be had is left out.
	if err := p.addHolds(r, &page); err != nil {
		p.log.WarnContext(r.Context(), "the first page lacks the holds", "error", err)
	}
	if err := p.addImport(r, &page); err != nil {
		p.log.WarnContext(r.Context(), "the first page lacks the last import", "error", err)
	}
	p.show(w, r, http.StatusOK, "counter", page)
}

// Help says what the field takes, and the keys.
func (p *Pages) Help(w http.ResponseWriter, r *http.Request) {
	query, fault := read(r, []string{"location"})
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	p.show(w, r, http.StatusOK, "help", p.base(r, "Help", query.Get("location")))
}

// addHolds adds the open holds at the location, or at all.
func (p *Pages) addHolds(r *http.Request, page *counterPage) error {
	if p.config.Shop == nil {
		return nil
	}
	filter := standin.HoldFilter{StockFilter: standin.StockFilter{Location: page.Location}, State: standin.HoldHeld}
	holds, err := p.config.Shop.ListHolds(r.Context(), filter, 0, holdsShown+1)
	if err != nil {
		return err
	}
	page.MoreHolds = len(holds) > holdsShown
	for _, h := range holds[:min(len(holds), holdsShown)] {
		page.Holds = append(page.Holds, heldLine{
			What: amount(h.Quantity, h.PartNumber), Where: h.Location, Until: timeText(h.Until),
			For: joined(h.For, h.Reference), Link: boardLink(h.PartNumber, page.Location),
		})
	}
	return nil
}

// addImport adds when the catalogue was last changed, and by what.
func (p *Pages) addImport(r *http.Request, page *counterPage) error {
	if p.config.Intake == nil {
		return nil
	}
	imports, err := p.config.Intake.ListImports(r.Context(), 0, 1)
	if err != nil || len(imports) == 0 {
		return err
	}
	last := imports[0]
	page.Imported = &importedLine{Version: last.CatalogueVersion, Bundle: last.Bundle, By: last.By, At: timeText(last.At),
		Age: ageText(time.Since(last.At))}
	return nil
}

// amount is a part number with how many of it.
func amount(n int, part string) string {
	if n == 1 {
		return part
	}
	return fmt.Sprintf("%d × %s", n, part)
}

// ageText says how long ago something was, in days.
func ageText(age time.Duration) string {
	switch days := int(age / (24 * time.Hour)); days {
	case 0:
		return "within the last day"
	case 1:
		return "a day ago"
	default:
		return fmt.Sprintf("%d days ago", days)
	}
}

// joined is two texts with a comma between, or the one that there is.
func joined(a, b string) string {
	if a != "" && b != "" {
		return a + ", " + b
	}
	return a + b
}
