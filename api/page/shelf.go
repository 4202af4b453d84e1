package page

import (
	"cmp"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"standin"
)

// How many lines and holds of a part the shelf shows.
const (
	shelfLines = 50
	shelfHolds = 20
)

// lasting is how long a hold may be chosen to last, in hours.
var lasting = []lasts{{4, "4 hours"}, {24, "a day"}, {72, "3 days"}, {168, "a week"}}

type lasts struct {
	Hours int
	Text  string
}

// shelfPage is the stock of one part, to be held or sold.
type shelfPage struct {
	base
	Form       formKeys
	PartNumber string
	Part       string // its page
	Lines      []shelfLine
	Supplied   bool // whether any of them may be supplied
	Holds      []shelfHold
	Lasting    []lasts
	Done       string // what has just been done; empty: nothing
	By         string
}

// shelfLine is a line of stock that has free pieces.
type shelfLine struct {
	Line   string // its key, for the form
	Text   string
	Free   int
	Chosen bool
	Stop   string // why it must not be supplied; empty: it may be
	Beware string // which revisions must not be supplied, where that of the pieces is not recorded
}

// shelfHold is an open hold of the part.
type shelfHold struct {
	ID   int64
	Text string
	For  string
}

// shelfLink is the address of the page where a part is held or sold.
func shelfLink(partNumber, revision, location string) string {
	return link("/shelf", "part_number", partNumber, "revision", revision, "location", location)
}

// Shelf is the page where pieces of a part are held, sold and let go.
func (p *Pages) Shelf(w http.ResponseWriter, r *http.Request, k Keeper) {
	query, fault := read(r, []string{"part_number", "revision", "location", "move", "hold"})
	if fault == nil && query.Get("part_number") == "" {
		fault = bad("part_number", "part_number is empty; give the part that is to be held or sold")
	}
	if fault != nil {
		p.fault(w, r, fault)
		return
	}
	page := shelfPage{base: p.base(r, "Shelf: "+query.Get("part_number"), query.Get("location")), Form: newForm(k), By: k.By, Lasting: lasting,
		PartNumber: query.Get("part_number"), Part: boardLink(query.Get("part_number"), query.Get("location"))}
	for _, add := range []func(*http.Request, url.Values, Keeper, *shelfPage) error{p.addLines, p.addShelfHolds, p.addDone} {
		if err := add(r, query, k, &page); err != nil {
			p.fault(w, r, err)
			return
		}
	}
	w.Header().Set("Cache-Control", "no-store") // its key is to be used once
	p.show(w, r, http.StatusOK, "shelf", page)
}

// addLines adds the lines with free pieces, the place and the revision that were asked
// for first. Those that the token may not change are left out.
func (p *Pages) addLines(r *http.Request, query url.Values, k Keeper, page *shelfPage) error {
	lines, err := p.config.Shop.ListStock(r.Context(), standin.StockFilter{PartNumber: page.PartNumber, Location: k.At}, standin.StockKey{}, shelfLines)
	if err != nil {
		return err
	}
	lines = slices.DeleteFunc(lines, func(l standin.StockRecord) bool { return l.Free() == 0 })
	slices.SortStableFunc(lines, func(a, b standin.StockRecord) int {
		return cmp.Or(first(a.Location == page.Location, b.Location == page.Location), first(a.Revision == query.Get("revision"), b.Revision == query.Get("revision")),
			first(a.Condition == "new", b.Condition == "new"))
	})
	stops, err := p.stopsOf(r, page.PartNumber)
	chosen := false
	for i := range lines {
		l := &lines[i]
		line := shelfLine{Line: lineText(l.StockKey), Text: shelfText(l.StockKey), Free: l.Free(), Stop: stops[l.Revision]}
		if l.Revision == "" && len(stops) > 0 {
			line.Beware = "Must not be supplied: revision " + standin.AndList(slices.Sorted(maps.Keys(stops))) + "."
		}
		if line.Stop == "" {
			line.Chosen, chosen = !chosen, true
		}
		page.Lines = append(page.Lines, line)
	}
	page.Supplied = chosen
	return err
}

// stopsOf are the reasons why revisions of a board must not be supplied, by revision:
// those alone that must not.
func (p *Pages) stopsOf(r *http.Request, partNumber string) (map[string]string, error) {
	board, err := p.config.Catalogue.BoardOf(r.Context(), partNumber)
	if standin.CodeOf(err) == standin.CodeNotFound { // an adaptor
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	stops := map[string]string{}
	for i := range board.Revisions {
		if stop := board.Revisions[i].Stop; stop != "" {
			stops[board.Revisions[i].Label] = stop
		}
	}
	return stops, nil
}

// first orders what is so before what is not.
func first(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

// shelfText says where pieces lie and what they are.
func shelfText(k standin.StockKey) string {
	revision := "revision not recorded: read the label"
	if k.Revision != "" {
		revision = "revision " + k.Revision
	}
	return k.Location + ", " + k.Condition + ", " + revision
}

// lineText is the key of a line as one text, and lineOf reads it.
func lineText(k standin.StockKey) string {
	return url.Values{"at": {k.Location}, "part": {k.PartNumber}, "revision": {k.Revision}, "condition": {k.Condition}}.Encode()
}

func lineOf(text string) (standin.StockKey, error) {
	v, err := url.ParseQuery(text)
	if err != nil || v.Get("part") == "" {
		return standin.StockKey{}, bad("line", "no line of stock is chosen; go back and choose one")
	}
	return standin.StockKey{Location: v.Get("at"), PartNumber: v.Get("part"), Revision: v.Get("revision"), Condition: v.Get("condition")}, nil
}

// addShelfHolds adds the open holds of the part.
func (p *Pages) addShelfHolds(r *http.Request, _ url.Values, k Keeper, page *shelfPage) error {
	filter := standin.HoldFilter{StockFilter: standin.StockFilter{PartNumber: page.PartNumber, Location: k.At}, State: standin.HoldHeld}
	holds, err := p.config.Shop.ListHolds(r.Context(), filter, 0, shelfHolds)
	for _, h := range holds {
		page.Holds = append(page.Holds, shelfHold{h.ID, amount(h.Quantity, h.Location) + " until " + timeText(h.Until), joined(h.For, h.Reference)})
	}
	return err
}

// addDone says what was done by the form that led here.
func (p *Pages) addDone(r *http.Request, query url.Values, _ Keeper, page *shelfPage) error {
	if id, err := strconv.ParseInt(query.Get("move"), 10, 64); err == nil && id > 0 {
		moves, err := p.config.Shop.ListMoves(r.Context(), standin.StockFilter{PartNumber: page.PartNumber}, id-1, 1)
		if err != nil || len(moves) == 0 || moves[0].ID != id {
			return err
		}
		page.Done = "Sold: " + amount(moves[0].Quantity, page.PartNumber) + " from " + moves[0].Location + ", of which " + strconv.Itoa(moves[0].After) + " are left."
	}
	if id, err := strconv.ParseInt(query.Get("hold"), 10, 64); err == nil && id > 0 {
		hold, err := p.config.Shop.HoldOf(r.Context(), id)
		if err != nil {
			return err
		}
		page.Done = "Hold " + strconv.FormatInt(id, 10) + " is " + string(hold.State) + ": " + amount(hold.Quantity, hold.PartNumber) + " at " + hold.Location + "."
	}
	return nil
}

// ChangeLine holds or sells pieces of a line.
func (p *Pages) ChangeLine(w http.ResponseWriter, r *http.Request, k Keeper) {
	p.change(w, r, k, func(form url.Values, promise standin.Once) (string, error) {
		key, err := lineOf(form.Get("line"))
		if err == nil {
			err = k.mayAt(key.Location)
		}
		var stops map[string]string
		if err == nil {
			stops, err = p.stopsOf(r, key.PartNumber)
		}
		n, wrong := strconv.Atoi(strings.TrimSpace(cmp.Or(form.Get("quantity"), "1")))
		switch {
		case err != nil:
			return "", err
		case stops[key.Revision] != "":
			return "", notSupplied(key, stops)
		case wrong != nil:
			return "", bad("quantity", "the quantity is a whole number, not %q", shortened(form.Get("quantity")))
		case form.Get("do") == "sell":
			move, err := p.config.Shop.MoveStock(r.Context(), standin.NewMove{StockKey: key, Kind: standin.MoveSold, Quantity: n, By: k.By,
				Reference: form.Get("reference")}, promise)
			return doneLink(key, "move", move.ID), err
		case form.Get("do") != "hold":
			return "", bad("do", "the form says neither hold nor sell; go back and send it again")
		}
		hours, wrong := strconv.Atoi(form.Get("hours"))
		if wrong != nil || !slices.ContainsFunc(lasting, func(l lasts) bool { return l.Hours == hours }) {
			return "", bad("hours", "say how long it is to be held; go back and choose")
		}
		hold, err := p.config.Shop.Hold(r.Context(), standin.NewHold{StockKey: key, Quantity: n, By: k.By, For: form.Get("for"), Reference: form.Get("reference"),
			Until: time.Now().Add(time.Duration(hours) * time.Hour).Truncate(time.Minute)}, promise)
		return doneLink(key, "hold", hold.ID), err
	})
}

// ChangeHold sells what a hold holds, or lets it go.
func (p *Pages) ChangeHold(w http.ResponseWriter, r *http.Request, k Keeper) {
	p.change(w, r, k, func(form url.Values, promise standin.Once) (string, error) {
		id, wrong := strconv.ParseInt(form.Get("hold"), 10, 64)
		if wrong != nil {
			return "", bad("hold", "the form names no hold; go back and send it again")
		}
		hold, err := p.config.Shop.HoldOf(r.Context(), id)
		if err == nil {
			err = k.mayAt(hold.Location)
		}
		var stops map[string]string
		if err == nil {
			stops, err = p.stopsOf(r, hold.PartNumber)
		}
		switch {
		case err != nil:
			return "", err
		case form.Get("do") == "sell" && stops[hold.Revision] != "":
			return "", notSupplied(hold.StockKey, stops)
		case form.Get("do") == "sell":
			_, move, err := p.config.Shop.TakeHold(r.Context(), standin.TakenHold{ID: id, By: k.By}, promise)
			return doneLink(hold.StockKey, "move", move.ID), err
		case form.Get("do") == "release":
			_, err := p.config.Shop.ReleaseHold(r.Context(), id, k.By)
			return doneLink(hold.StockKey, "hold", id), err
		}
		return "", bad("do", "the form says neither sell nor release; go back and send it again")
	})
}

// notSupplied is why a revision is not handed over.
func notSupplied(k standin.StockKey, stops map[string]string) error {
	return &standin.Error{Code: standin.CodeRejected, Field: "revision",
		Message: "revision " + k.Revision + " of " + k.PartNumber + " must not be supplied: " + stops[k.Revision]}
}

// mayAt refuses a place that is not the keeper's.
func (k Keeper) mayAt(location string) error {
	if k.At == "" || k.At == location {
		return nil
	}
	return &standin.Error{Code: standin.CodeForbidden, Field: "location", Message: "The token " + k.By + " may change the stock at " + k.At + " alone."}
}

// doneLink is the shelf of a line, with what was done there.
func doneLink(k standin.StockKey, did string, id int64) string {
	return link("/shelf", "part_number", k.PartNumber, "revision", k.Revision, "location", k.Location, did, strconv.FormatInt(id, 10))
}

// change does what a form of the shelf asks for, and goes on to what do leads to.
func (p *Pages) change(w http.ResponseWriter, r *http.Request, k Keeper, do func(url.Values, standin.Once) (string, error)) {
	form, promise, err := readForm(w, r, k)
	var to string
	if err == nil {
		to, err = do(form, promise)
	}
	if err != nil {
		at := r.Clone(r.Context())
		at.URL = &url.URL{Path: "/"}
		if key, wrong := lineOf(form.Get("line")); wrong == nil {
			at.URL, _ = url.Parse(shelfLink(key.PartNumber, key.Revision, key.Location))
		}
		p.fault(w, at, err)
		return
	}
	http.Redirect(w, r, p.config.Base+to, http.StatusSeeOther)
}
