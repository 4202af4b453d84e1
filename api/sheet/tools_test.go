package sheet_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// tool runs a program that reads what was printed.
func tool(t testing.TB, name, debian string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		reason := name + " is not installed (Debian " + debian + ")"
		if os.Getenv("STANDIN_TEST_REQUIRE") == "1" {
			t.Fatal(reason)
		}
		t.Skip(reason)
	}
	var out, errs bytes.Buffer
	cmd := exec.Command(path, args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil && !nothingFound(name, err) {
		t.Fatalf("%s: %v\n%s", name, err, errs.Bytes())
	}
	return out.String()
}

// nothingFound is how zbarimg ends where it sees no code.
func nothingFound(name string, err error) bool {
	var exit *exec.ExitError
	return name == "zbarimg" && errors.As(err, &exit) && exit.ExitCode() == 4
}

// written puts a document into a file.
func written(t testing.TB, pdf []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "paper.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	keep(t, pdf)
	return file
}

// keep writes a document into the folder that STANDIN_PICTURES names, for people
// to look at.
func keep(t testing.TB, pdf []byte) {
	t.Helper()
	dir := os.Getenv("STANDIN_PICTURES")
	if dir == "" {
		return
	}
	name := strings.NewReplacer("/", "-", " ", "_").Replace(t.Name()) + ".pdf"
	if err := os.WriteFile(filepath.Join(dir, name), pdf, 0o600); err != nil {
		t.Error(err)
	}
}

// textOf is the text of a document, its spaces made single.
func textOf(t testing.TB, pdf []byte) string {
	t.Helper()
	return strings.Join(strings.Fields(tool(t, "pdftotext", "poppler-utils", "-raw", written(t, pdf), "-")), " ")
}

// page is a page with its words where they stand, in points.
type page struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Words  []word  `xml:"word"`
}

type word struct {
	XMin float64 `xml:"xMin,attr"`
	XMax float64 `xml:"xMax,attr"`
	YMin float64 `xml:"yMin,attr"`
	YMax float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

func pagesOf(t testing.TB, pdf []byte) []page {
	t.Helper()
	var document struct {
		Pages []page `xml:"body>doc>page"`
	}
	decoder := xml.NewDecoder(strings.NewReader(tool(t, "pdftotext", "poppler-utils", "-bbox", written(t, pdf), "-")))
	decoder.Strict = false
	if err := decoder.Decode(&document); err != nil {
		t.Fatal(err)
	}
	if len(document.Pages) == 0 {
		t.Fatal("the document has no pages")
	}
	return document.Pages
}

// overflows are the words that leave their page or stand on each other.
func overflows(pages []page) (faults []string) {
	const air = 0.5 // points
	for _, p := range pages {
		for i, w := range p.Words {
			if w.XMin < 0 || w.YMin < 0 || w.XMax > p.Width || w.YMax > p.Height {
				faults = append(faults, w.Text+" leaves the page")
			}
			for _, v := range p.Words[i+1:] {
				// A word's box has room above and below its letters.
				if w.XMin+air < v.XMax && v.XMin+air < w.XMax && middle(w) > v.YMin+middleShare(v) && middle(w) < v.YMax-middleShare(v) {
					faults = append(faults, w.Text+" stands on "+v.Text)
				}
			}
		}
	}
	return faults
}

func middle(w word) float64      { return (w.YMin + w.YMax) / 2 }
func middleShare(w word) float64 { return (w.YMax - w.YMin) / 5 }

// codesOf are the codes on the first page as a reader sees them.
func codesOf(t testing.TB, pdf []byte) string {
	t.Helper()
	file := written(t, pdf)
	tool(t, "pdftoppm", "poppler-utils", "-r", "200", "-gray", "-png", "-singlefile", file, strings.TrimSuffix(file, ".pdf"))
	return tool(t, "zbarimg", "zbar-tools", "--quiet", strings.TrimSuffix(file, ".pdf")+".png")
}
