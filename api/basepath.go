package api

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
)

var plainPathSteps = regexp.MustCompile(`^(/[A-Za-z0-9_-][A-Za-z0-9._-]*)*/?$`)

// plainPath reports whether a path can stand in every link as it is.
func plainPath(u *url.URL) bool { return u.RawPath == "" && plainPathSteps.MatchString(u.Path) }

// basePath is the path of an address of the service, without a slash at its end.
func basePath(publicURL string) string {
	u, err := url.Parse(publicURL)
	if err != nil {
		return ""
	}
	return strings.TrimRight(u.Path, "/")
}

// below lets a handler that answers at the root answer below a path too. A proxy in
// front may take the path off or leave it: both come to the same.
func below(base string, handler http.Handler) http.Handler {
	if base == "" {
		return handler
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		path, under := strings.CutPrefix(r.URL.Path, base)
		if !under || path != "" && path[0] != '/' {
			handler.ServeHTTP(w, r)
			return
		}
		if path == "" {
			http.Redirect(w, r, base+"/", http.StatusPermanentRedirect)
			return
		}
		inner := *r
		inner.URL = new(url.URL)
		*inner.URL = *r.URL
		inner.URL.Path, inner.URL.RawPath = path, strings.TrimPrefix(r.URL.RawPath, base)
		handler.ServeHTTP(w, &inner)
	})
}
