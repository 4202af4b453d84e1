package importer_test

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

func TestZip(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		entries []importertest.Entry
		want    string // findings; empty: both files are read
	}{
		{"files", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}}, ""},
		{"one folder around", []importertest.Entry{{Name: "June/"}, {Name: "June/sources.csv", Text: importertest.SourcesCSV}, {Name: "June/Stock.CSV", Text: importertest.StockCSV}}, ""},
		{"names with backslashes", []importertest.Entry{{Name: `June\sources.csv`, Text: importertest.SourcesCSV}, {Name: `June\stock.csv`, Text: importertest.StockCSV}}, ""},
		{"additions of packing programs", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV},
			{Name: "__MACOSX/._stock.csv", Text: "\x00"}, {Name: ".DS_Store", Text: "\x00"}}, ""},
		{"a folder beside", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: "old/stock.csv", Text: importertest.StockCSV}},
			"warning old/stock.csv:0 unknown-file: the file is not read: it lies in a folder within the bundle; put it beside the others"},
		{"a path out of it", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: "../../x", Text: "x"}},
			`error x:0 unreadable-file: its path "../../x" leads out of the zip; pack the files without folders`},
		{"a path out of it by backslashes", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: `..\x`, Text: "x"}},
			`error x:0 unreadable-file: its path "..\\x" leads out of the zip; pack the files without folders`},
		{"an absolute path", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: "/etc/models.csv", Text: "x"}},
			`error models.csv:0 unreadable-file: its path "/etc/models.csv" leads out of the zip; pack the files without folders`},
		{"a drive", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: `C:\models.csv`, Text: "x"}},
			`error models.csv:0 unreadable-file: its path "C:\\models.csv" leads out of the zip; pack the files without folders`},
		{"a link", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: "boards.csv", Text: "/etc/passwd", Mode: fs.ModeSymlink | 0o777}},
			"error boards.csv:0 unreadable-file: it is a link or a device, not a file; pack the file itself"},
		{"a password", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: "boards.csv", Text: "x", Flags: 1}},
			"error boards.csv:0 unreadable-file: the file is locked with a password; pack it without one"},
		{"a folder named as a file", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: "boards.csv/"}},
			"error boards.csv:0 unreadable-file: it is a folder, not a file; give it a name without .csv"},
		{"a file twice", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: "STOCK.csv", Text: importertest.StockCSV}},
			"error STOCK.csv:0 unreadable-file: the bundle has this file twice, bundle.zip: stock.csv and bundle.zip: STOCK.csv; leave one out"},
		{"a bomb", []importertest.Entry{{Name: "sources.csv", Text: importertest.SourcesCSV}, {Name: "stock.csv", Text: importertest.StockCSV}, {Name: "boards.csv", Text: "part_number\n" + strings.Repeat("x\n", 20<<20)}},
			"error boards.csv:0 unreadable-file: the file grows too much when it is unpacked (at most 4 GiB, and 200 times its packed size)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			report, store := importertest.Run(t, importertest.Zip(t, c.entries...))
			if got := importertest.FindingLines(report); got != c.want {
				t.Errorf("findings:\n%s\nwant:\n%s", got, c.want)
			}
			if len(store.Staged["sources"]) != 1 || len(store.Staged["stock"]) != 1 {
				t.Errorf("staged %v, want a row of sources and one of stock", store.Staged)
			}
			if committed := !strings.Contains(c.want, "error"); report.Committed != committed {
				t.Errorf("committed: %t, want %t", report.Committed, committed)
			}
		})
	}
}

func TestBrokenZip(t *testing.T) {
	t.Parallel()
	good, err := os.ReadFile(importertest.Zip(t, importertest.Entry{Name: "sources.csv", Text: strings.Repeat(importertest.SourcesCSV, 10)}))
	if err != nil {
		t.Fatal(err)
	}
	damaged := bytes.Clone(good)
	damaged[45] ^= 0xff // within the packed bytes of the one file
	var many []importertest.Entry
	for range 1001 {
		many = append(many, importertest.Entry{Name: "x"})
	}
	crowded, err := os.ReadFile(importertest.Zip(t, many...))
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
		report, _ := importertest.Run(t, path)
		if got := importertest.FindingLines(report); !strings.HasPrefix(got, c.want) || report.Errors != 1 || report.Committed {
			t.Errorf("%s: findings:\n%s\nwant:\n%s", name, got, c.want)
		}
	}
}

// What lies in a folder beside the files, and what only looks like one.
func TestFolder(t *testing.T) {
	t.Parallel()
	dir := importertest.Folder(t, map[string]string{"SOURCES.CSV": importertest.SourcesCSV, "stock.csv": importertest.StockCSV, ".hidden.csv": "\x00"})
	outside := filepath.Join(t.TempDir(), "outside.csv")
	importertest.Must(t, os.WriteFile(outside, []byte("part_number\n"), 0o600))
	importertest.Must(t, os.Symlink(outside, filepath.Join(dir, "boards.csv")))
	importertest.Must(t, os.Symlink("nowhere", filepath.Join(dir, "models.csv")))
	importertest.Must(t, os.Symlink("stock.csv", filepath.Join(dir, "twins.csv"))) // within: it is read
	importertest.Must(t, os.Mkdir(filepath.Join(dir, "builds.csv"), 0o700))
	importertest.Must(t, os.Mkdir(filepath.Join(dir, "old"), 0o700))
	importertest.Must(t, syscall.Mkfifo(filepath.Join(dir, "loads.csv"), 0o600))
	report, store := importertest.Run(t, dir)
	const link = "it is a link that leads nowhere or out of the folder; put the file itself there"
	want := strings.Join([]string{
		"error boards.csv:0 unreadable-file: " + link,
		"error models.csv:0 unreadable-file: " + link,
		"error twins.csv:1 missing-column: the first row names none of the columns of this file; it must be the header: brand, model, variant, of_brand, of_model, of_variant",
		"error builds.csv:0 unreadable-file: it is a folder, not a file; give it a name without .csv",
		"error loads.csv:0 unreadable-file: it is a device or a pipe, not a file; put a file there",
		"warning old:0 unknown-file: the file is not read: it is a folder within the bundle; put its files beside the others",
	}, "\n")
	if got := importertest.FindingLines(report); got != want {
		t.Errorf("findings:\n%s\nwant:\n%s", got, want)
	}
	if store.Names["sources"] != "SOURCES.CSV" || len(store.Staged["stock"]) != 1 {
		t.Errorf("staged %v as %v", store.Staged, store.Names)
	}
}

// A file that its reader may not open. As root everything may be opened.
func TestPermission(t *testing.T) {
	t.Parallel()
	if os.Geteuid() == 0 {
		t.Skip("root may open every file; TestFaultOf makes the error by hand")
	}
	dir := importertest.Folder(t, map[string]string{"sources.csv": importertest.SourcesCSV, "stock.csv": importertest.StockCSV})
	importertest.Must(t, os.Chmod(filepath.Join(dir, "stock.csv"), 0))
	report, _ := importertest.Run(t, dir)
	const want = "error stock.csv:0 unreadable-file: the file may not be read; ask its owner for permission to read it"
	if got := importertest.FindingLines(report); got != want {
		t.Errorf("findings:\n%s\nwant:\n%s", got, want)
	}
}

func TestPaths(t *testing.T) {
	t.Parallel()
	dir := importertest.Folder(t, map[string]string{"sources.csv": importertest.SourcesCSV, "stock.csv": importertest.StockCSV, "prices.csv": "a\n", "notes.txt": "x"})
	at := func(name string) string { return filepath.Join(dir, name) }

	report, store := importertest.Run(t, at("stock.csv"), importertest.Zip(t, importertest.Entry{Name: "sources.csv", Text: importertest.SourcesCSV}))
	if !report.Committed || len(store.Staged) != 2 || store.Request.Bundle != "stock.csv bundle.zip" {
		t.Errorf("several paths: %s, staged %v as %q", importertest.FindingLines(report), store.Staged, store.Request.Bundle)
	}
	report, _ = importertest.Run(t, at("stock.csv"), dir)
	if got := importertest.FindingLines(report); !strings.Contains(got, "error stock.csv:0 unreadable-file: the bundle has this file twice, "+at("stock.csv")+" and bundle/stock.csv") {
		t.Errorf("a file twice: %s", got)
	}
	report, store = importertest.Run(t, at("notes.txt"))
	if report.Errors != 1 || report.Warnings != 1 || report.Committed || store.Ended != nil {
		t.Errorf("no file of a bundle: %s, store %v", importertest.FindingLines(report), store.Ended)
	}
	report, _ = importertest.Run(t, t.TempDir())
	if got := importertest.FindingLines(report); !strings.Contains(got, "unreadable-file: it holds no file of a bundle; the files are sources.csv, procedures.csv") {
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
