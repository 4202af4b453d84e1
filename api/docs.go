package api

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io/fs"
	"net/http"
	"net/url"
	"regexp"
	"slices"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"
	"github.com/swaggest/swgui"
	"github.com/swaggest/swgui/v5/static"
	"github.com/swaggest/swgui/v5emb"

	"standin/openapi"
)

// contractTexts are the contract as it was written, and the same as JSON, with the
// path that its addresses are below.
func (h *handlers) contractTexts(contract *contract) (inYAML, inJSON []byte, err error) {
	document := *contract.document
	inYAML = openapi.YAML
	if h.base != "" {
		document.Servers = openapi3.Servers{{URL: h.base}}
		inYAML = fmt.Appendf(slices.Clip(inYAML), "\nservers: [{url: %q}]\n", h.base)
	}
	inJSON, err = document.MarshalJSON()
	return inYAML, inJSON, err
}

func sendAs(contentType string, text []byte) echo.HandlerFunc {
	return func(c echo.Context) error { return c.Blob(http.StatusOK, contentType, text) }
}

// docs is the contract as a page, with everything it needs out of the program.
func (h *handlers) docs() echo.HandlerFunc {
	page := v5emb.NewWithConfig(swgui.Config{InternalBasePath: "/docs/"})("standin", h.base+"/openapi.yaml", h.base+"/docs/")
	policy := docsPolicy(page)
	return func(c echo.Context) error {
		if asset := c.Param("*"); asset != "" && !hasAsset(asset) {
			return echo.ErrNotFound
		}
		c.Response().Header().Set("Content-Security-Policy", policy)
		page.ServeHTTP(c.Response(), c.Request())
		return nil
	}
}

// hasAsset reports whether the page's files have one of that name; most are kept
// compressed.
func hasAsset(name string) bool {
	_, plain := fs.Stat(static.FS, name)
	_, packed := fs.Stat(static.FS, name+".gz")
	return plain == nil || packed == nil
}

var inlineScript = regexp.MustCompile(`(?s)<script>(.*?)</script>`)

// docsPolicy lets the page run its own scripts, the inline ones by their hash,
// and no others. The page sets styles as it goes, so those it may.
func docsPolicy(docs http.Handler) string {
	page := &rendered{header: http.Header{}}
	docs.ServeHTTP(page, &http.Request{Method: http.MethodGet, URL: &url.URL{Path: "/docs/"}})
	scripts := "script-src 'self'"
	for _, found := range inlineScript.FindAllSubmatch(page.Bytes(), -1) {
		sum := sha256.Sum256(found[1])
		scripts += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return "default-src 'none'; " + scripts + "; style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; frame-ancestors 'none'"
}

// rendered is a page kept in memory.
type rendered struct {
	bytes.Buffer
	header http.Header
}

func (r *rendered) Header() http.Header { return r.header }
func (r *rendered) WriteHeader(int)     {}
