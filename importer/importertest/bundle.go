package importertest

import (
	"archive/zip"
	"bytes"
	"embed"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"standin"
)

//go:embed valid supplied
var files embed.FS

// Entry is a file in a zip.
type Entry struct {
	Name, Text string
	Mode       fs.FileMode
	Flags      uint16
}

// Zip writes a zip and returns its path.
func Zip(t testing.TB, entries ...Entry) string {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, e := range entries {
		header := &zip.FileHeader{Name: e.Name, Method: zip.Deflate, Flags: e.Flags}
		if e.Mode != 0 {
			header.SetMode(e.Mode)
		}
		in, err := w.CreateHeader(header)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(in, e.Text); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "bundle.zip")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// Two small files of a bundle.
const (
	SourcesCSV = "source,title\nS,a sheet\n"
	StockCSV   = "location,part_number,condition,quantity\nfront,X-1,new,1\n"
)

// ValidBundle is a bundle without a fault that has a row in every file, by file name.
func ValidBundle(t testing.TB) map[string]string {
	t.Helper()
	bundle := map[string]string{}
	for _, f := range standin.Files {
		text, err := files.ReadFile("valid/" + f.Name + ".csv")
		if err != nil {
			t.Fatal(err)
		}
		bundle[f.Name+".csv"] = string(text)
	}
	return bundle
}

// Folder writes a bundle into a folder of its own.
func Folder(t testing.TB, bundle map[string]string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "bundle")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, name := range slices.Sorted(maps.Keys(bundle)) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(bundle[name]), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// Supplied are a supplier's table and its mapping: table.csv and mapping.yaml.
func Supplied(t testing.TB) map[string]string {
	t.Helper()
	both := map[string]string{}
	for _, name := range []string{"table.csv", "mapping.yaml"} {
		text, err := files.ReadFile("supplied/" + name)
		Must(t, err)
		both[name] = string(text)
	}
	return both
}
