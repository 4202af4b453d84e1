package importer_test

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"standin"
	"standin/importer"
)

// entry is a file in a zip.
type entry struct {
	name, text string
	mode       fs.FileMode
	flags      uint16
}

func zipOf(t testing.TB, entries ...entry) string {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, e := range entries {
		header := &zip.FileHeader{Name: e.name, Method: zip.Deflate, Flags: e.flags}
		if e.mode != 0 {
			header.SetMode(e.mode)
		}
		in, err := w.CreateHeader(header)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(in, e.text); err != nil {
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

func findingLines(r *importer.Report) string {
	var lines []string
	for _, f := range r.Findings {
		lines = append(lines, findingLine(f))
	}
	return strings.Join(lines, "\n")
}

func run(t testing.TB, paths ...string) (*importer.Report, *memory) {
	t.Helper()
	store := &memory{}
	report, err := importer.Run(context.Background(), store, paths, importer.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return report, store
}

const (
	sources = "source,title\nS,a sheet\n"
	stock   = "location,part_number,condition,quantity\nfront,X-1,new,1\n"
)

func TestZip(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		entries []entry
		want    string // findings; empty: both files are read
	}{
		{"files", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}}, ""},
		{"one folder around", []entry{{name: "June/"}, {name: "June/sources.csv", text: sources}, {name: "June/Stock.CSV", text: stock}}, ""},
		{"names with backslashes", []entry{{name: `June\sources.csv`, text: sources}, {name: `June\stock.csv`, text: stock}}, ""},
		{"additions of packing programs", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock},
			{name: "__MACOSX/._stock.csv", text: "\x00"}, {name: ".DS_Store", text: "\x00"}}, ""},
		{"a folder beside", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: "old/stock.csv", text: stock}},
			"warning old/stock.csv:0 unknown-file: the file is not read: it lies in a folder within the bundle; put it beside the others"},
		{"a path out of it", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: "../../x", text: "x"}},
			`error x:0 unreadable-file: its path "../../x" leads out of the zip; pack the files without folders`},
		{"a path out of it by backslashes", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: `..\x`, text: "x"}},
			`error x:0 unreadable-file: its path "..\\x" leads out of the zip; pack the files without folders`},
		{"an absolute path", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: "/etc/models.csv", text: "x"}},
			`error models.csv:0 unreadable-file: its path "/etc/models.csv" leads out of the zip; pack the files without folders`},
		{"a drive", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: `C:\models.csv`, text: "x"}},
			`error models.csv:0 unreadable-file: its path "C:\\models.csv" leads out of the zip; pack the files without folders`},
		{"a link", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: "boards.csv", text: "/etc/passwd", mode: fs.ModeSymlink | 0o777}},
			"error boards.csv:0 unreadable-file: it is a link or a device, not a file; pack the file itself"},
		{"a password", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: "boards.csv", text: "x", flags: 1}},
			"error boards.csv:0 unreadable-file: the file is locked with a password; pack it without one"},
		{"a folder named as a file", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: "boards.csv/"}},
			"error boards.csv:0 unreadable-file: it is a folder, not a file; give it a name without .csv"},
		{"a file twice", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: "STOCK.csv", text: stock}},
			"error STOCK.csv:0 unreadable-file: the bundle has this file twice, bundle.zip: stock.csv and bundle.zip: STOCK.csv; leave one out"},
		{"a bomb", []entry{{name: "sources.csv", text: sources}, {name: "stock.csv", text: stock}, {name: "boards.csv", text: "part_number\n" + strings.Repeat("x\n", 20<<20)}},
			"error boards.csv:0 unreadable-file: the file grows too much when it is unpacked (at most 4 GiB, and 200 times its packed size)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			report, store := run(t, zipOf(t, c.entries...))
			if got := findingLines(report); got != c.want {
				t.Errorf("findings:\n%s\nwant:\n%s", got, c.want)
			}
			if len(store.staged["sources"]) != 1 || len(store.staged["stock"]) != 1 {
				t.Errorf("staged %v, want a row of sources and one of stock", store.staged)
			}
			if committed := !strings.Contains(c.want, "error"); report.Committed != committed {
				t.Errorf("committed: %t, want %t", report.Committed, committed)
			}
		})
	}
}

func TestBrokenZip(t *testing.T) {
	t.Parallel()
	good, err := os.ReadFile(zipOf(t, entry{name: "sources.csv", text: strings.Repeat(sources, 10)}))
	if err != nil {
		t.Fatal(err)
	}
	damaged := bytes.Clone(good)
	damaged[45] ^= 0xff // within the packed bytes of the one file
	var many []entry
	for range 1001 {
		many = append(many, entry{name: "x"})
	}
	crowded, err := os.ReadFile(zipOf(t, many...))
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		bytes []byte
		want  string
	}{
		"a picture": {[]byte("\x89PNG\r\n\x1a\n"), "error x.zip:0 unreadable-file: the file is no zip or is damaged; pack it again"},
		"empty":     {nil, "error x.zip:0 unreadable-file: the file is no zip or is damaged; pack it again"},
		"cut":       {good[:len(good)/2], "error x.zip:0 unreadable-file: the file is no zip or is damaged; pack it again"},
		"damaged":   {damaged, "error sources.csv:0 unreadable-file: the file cannot be read to its end: "},
		"crowded":   {crowded, "error x.zip:0 unreadable-file: the zip has 1001 files; a bundle has at most 1000"},
	} {
		path := filepath.Join(t.TempDir(), "x.zip")
		if err := os.WriteFile(path, c.bytes, 0o600); err != nil {
			t.Fatal(err)
		}
		report, _ := run(t, path)
		if got := findingLines(report); !strings.HasPrefix(got, c.want) || report.Errors != 1 || report.Committed {
			t.Errorf("%s: findings:\n%s\nwant:\n%s", name, got, c.want)
		}
	}
}

// What lies in a folder beside the files, and what only looks like one.
func TestFolder(t *testing.T) {
	t.Parallel()
	dir := folderOf(t, map[string]string{"SOURCES.CSV": sources, "stock.csv": stock, ".hidden.csv": "\x00"})
	outside := filepath.Join(t.TempDir(), "outside.csv")
	must(t, os.WriteFile(outside, []byte("part_number\n"), 0o600))
	must(t, os.Symlink(outside, filepath.Join(dir, "boards.csv")))
	must(t, os.Symlink("nowhere", filepath.Join(dir, "models.csv")))
	must(t, os.Symlink("stock.csv", filepath.Join(dir, "twins.csv"))) // within: it is read
	must(t, os.Mkdir(filepath.Join(dir, "builds.csv"), 0o700))
	must(t, os.Mkdir(filepath.Join(dir, "old"), 0o700))
	must(t, syscall.Mkfifo(filepath.Join(dir, "loads.csv"), 0o600))
	report, store := run(t, dir)
	const link = "it is a link that leads nowhere or out of the folder; put the file itself there"
	want := strings.Join([]string{
		"error boards.csv:0 unreadable-file: " + link,
		"error models.csv:0 unreadable-file: " + link,
		"error twins.csv:1 missing-column: the first row names none of the columns of this file; it must be the header: brand, model, variant, of_brand, of_model, of_variant",
		"error builds.csv:0 unreadable-file: it is a folder, not a file; give it a name without .csv",
		"error loads.csv:0 unreadable-file: it is a device or a pipe, not a file; put a file there",
		"warning old:0 unknown-file: the file is not read: it is a folder within the bundle; put its files beside the others",
	}, "\n")
	if got := findingLines(report); got != want {
		t.Errorf("findings:\n%s\nwant:\n%s", got, want)
	}
	if store.names["sources"] != "SOURCES.CSV" || len(store.staged["stock"]) != 1 {
		t.Errorf("staged %v as %v", store.staged, store.names)
	}
}

// A file that its reader may not open. As root everything may be opened.
func TestPermission(t *testing.T) {
	t.Parallel()
	if os.Geteuid() == 0 {
		t.Skip("root may open every file; TestFaultOf makes the error by hand")
	}
	dir := folderOf(t, map[string]string{"sources.csv": sources, "stock.csv": stock})
	must(t, os.Chmod(filepath.Join(dir, "stock.csv"), 0))
	report, _ := run(t, dir)
	const want = "error stock.csv:0 unreadable-file: the file may not be read; ask its owner for permission to read it"
	if got := findingLines(report); got != want {
		t.Errorf("findings:\n%s\nwant:\n%s", got, want)
	}
}

func TestPaths(t *testing.T) {
	t.Parallel()
	dir := folderOf(t, map[string]string{"sources.csv": sources, "stock.csv": stock, "prices.csv": "a\n", "notes.txt": "x"})
	at := func(name string) string { return filepath.Join(dir, name) }

	report, store := run(t, at("stock.csv"), zipOf(t, entry{name: "sources.csv", text: sources}))
	if !report.Committed || len(store.staged) != 2 || store.request.Bundle != "stock.csv bundle.zip" {
		t.Errorf("several paths: %s, staged %v as %q", findingLines(report), store.staged, store.request.Bundle)
	}
	report, _ = run(t, at("stock.csv"), dir)
	if got := findingLines(report); !strings.Contains(got, "error stock.csv:0 unreadable-file: the bundle has this file twice, "+at("stock.csv")+" and bundle/stock.csv") {
		t.Errorf("a file twice: %s", got)
	}
	report, store = run(t, at("notes.txt"))
	if report.Errors != 1 || report.Warnings != 1 || report.Committed || store.ended != nil {
		t.Errorf("no file of a bundle: %s, store %v", findingLines(report), store.ended)
	}
	report, _ = run(t, t.TempDir())
	if got := findingLines(report); !strings.Contains(got, "unreadable-file: it holds no file of a bundle; the files are sources.csv, procedures.csv") {
		t.Errorf("an empty folder: %s", got)
	}
	_, err := importer.Run(context.Background(), store, []string{at("absent")}, importer.Options{})
	if standin.CodeOf(err) != standin.CodeBadRequest || !strings.Contains(err.Error(), "there is nothing at "+at("absent")) {
		t.Errorf("a path to nothing: %v", err)
	}
	_, err = importer.Run(context.Background(), store, []string{dir}, importer.Options{Encoding: "klingon"})
	var e *standin.Error
	if !errors.As(err, &e) || e.Code != standin.CodeBadRequest || e.Field != "encoding" {
		t.Errorf("an unknown encoding: %v", err)
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
