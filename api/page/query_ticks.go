package page

import (
	"net/http"
	"net/url"
	"strings"

	"standin"
)

// readTicks reads the parameters of a page whose form has plugs to tick that are
// not there: no_plug=10, once a tick. They become part of plug, as links have them.
func readTicks(r *http.Request, names []string) (url.Values, *standin.Error) {
	all, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		return read(r, names) // it says why
	}
	ticked := all["no_plug"]
	if len(ticked) == 0 {
		return read(r, names)
	}
	all.Del("no_plug")
	all.Set("plug", strings.TrimSpace(all.Get("plug")+" no "+strings.Join(ticked, " ")))
	rest := r.Clone(r.Context())
	rest.URL.RawQuery = all.Encode()
	return read(rest, names)
}
