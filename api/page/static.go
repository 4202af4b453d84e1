package page

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"io/fs"
	"net/http"
	"path"
	"time"

	"standin/api/locale"
)

//go:embed static
var static embed.FS

// assets are the addresses of the files in static by name. The address changes
// with the file, so that a browser may keep it for good.
var assets = func() map[string]string {
	files, err := fs.ReadDir(static, "static")
	if err != nil {
		panic(err) // the files are in the program
	}
	addresses := map[string]string{}
	for _, f := range files {
		text, err := static.ReadFile("static/" + f.Name())
		if err != nil {
			panic(err)
		}
		sum := sha256.Sum256(text)
		addresses[f.Name()] = "/static/" + f.Name() + "?v=" + base64.RawURLEncoding.EncodeToString(sum[:9])
	}
	for name, text := range sayings {
		sum := sha256.Sum256(text)
		addresses[name] = "/static/" + name + "?v=" + base64.RawURLEncoding.EncodeToString(sum[:9])
	}
	return addresses
}()

// sayings are the scripts with what the others say in other languages than English.
var sayings = func() map[string][]byte {
	all := map[string][]byte{}
	for _, l := range locale.All[1:] {
		all[sayingsIn(l)] = l.Script()
	}
	return all
}()

func sayingsIn(l locale.Language) string { return "says-" + l.String() + ".js" }

// Static sends the style sheet, the script and the icon.
func (p *Pages) Static(w http.ResponseWriter, r *http.Request) {
	name := path.Base(r.URL.Path)
	address, ok := assets[name]
	if !ok || r.URL.Path != "/static/"+name {
		p.NotFound(w, r)
		return
	}
	if r.URL.RequestURI() == address {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	if text, ok := sayings[name]; ok {
		http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(text))
		return
	}
	http.ServeFileFS(w, r, static, "static/"+name)
}
