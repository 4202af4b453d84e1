package page

import "net/http"

// counterPage is the page with the one field, before anything is typed.
type counterPage struct {
	base
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
	page := counterPage{p.base("Counter", query.Get("location"))}
	page.Focus = true
	p.show(w, r, http.StatusOK, "counter", page)
}
