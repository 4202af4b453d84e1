package api

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"io/fs"
	"net/http"
	"net/url"
	"regexp"
	"sync"

	"github.com/labstack/echo/v4"
	"github.com/swaggest/swgui/v5/static"
	"github.com/swaggest/swgui/v5emb"

	"standin/openapi"
)

var docsPage = v5emb.New("standin", "/openapi.yaml", "/docs/")

func sendContract(c echo.Context) error {
	return c.Blob(http.StatusOK, "application/yaml", openapi.YAML)
}

// docs is the contract as a page, with everything it needs out of the program.
func docs(c echo.Context) error {
	if asset := c.Param("*"); asset != "" && !hasAsset(asset) {
		return echo.ErrNotFound
	}
	c.Response().Header().Set("Content-Security-Policy", docsPolicy())
	docsPage.ServeHTTP(c.Response(), c.Request())
	return nil
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
var docsPolicy = sync.OnceValue(func() string {
	page := &rendered{header: http.Header{}}
	docsPage.ServeHTTP(page, &http.Request{Method: http.MethodGet, URL: &url.URL{Path: "/docs/"}})
	scripts := "script-src 'self'"
	for _, found := range inlineScript.FindAllSubmatch(page.Bytes(), -1) {
		sum := sha256.Sum256(found[1])
		scripts += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return "default-src 'none'; " + scripts + "; style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; frame-ancestors 'none'"
})

// rendered is a page kept in memory.
type rendered struct {
	bytes.Buffer
	header http.Header
}

func (r *rendered) Header() http.Header { return r.header }
func (r *rendered) WriteHeader(int)     {}
