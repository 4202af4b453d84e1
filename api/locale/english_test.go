package locale_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// root is the module's folder.
const root = "../.."

// sources are the files whose texts pages and sheets show.
var sources = []string{
	"answer.go", "fit.go", "fit_*.go", "job*.go", "reading_stories.go", "reading_verify.go", "reading_trial.go", "reading_trust.go", "reading_identify.go",
	"reading_method.go", "words*.go", "api/page/*.go", "api/draw/*.go", "api/sheet/*.go", "api/signin.go", "api/keeper.go",
}

// notShown are pieces of text that no page shows.
var notShown = []string{
	"a script could not be sent", "a job could not be copied", "a copy could not be sent",
	"a page could not be rendered", "a page could not be sent", "a page failed", "a page could not be answered", "there is no view",
	"the first page lacks the holds", "the first page lacks the last import", "the places of stock are not known",
	"findings could not be sent", "page: no catalogue to answer from", "The program failed at this page; its log has the cause.",
	"what is to be printed for", "import form", "Vary", "Forwarded", "windows-1252", "small quiet", "hand back",
	"m of cord up to 1.5 mm²", "kW 1 mA a kilowatt, never above", // with holes for the figures
	"air condition", "heat pump", "EN 50678:2020 (VDE 0701)", // of kinds of appliance; a standard
	"the names of points are those of a family; give family or part_number, or the reading in the order of the points", // of the API
	"the reading is given twice, as reading and as ticks; give it once",
	"no point was read; write what was seen as", "is nothing a point can show; write the reading as",
}

// piece is a part of an English text between what is put into it, and where it is.
type piece struct{ text, place string }

// englishPieces are the texts of templates and of programs that people see.
func englishPieces(t testing.TB) []piece {
	t.Helper()
	all := templatePieces(t)
	for _, pattern := range sources {
		names, err := filepath.Glob(filepath.Join(root, pattern))
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: no files (%v)", pattern, err)
		}
		for _, name := range names {
			if !strings.HasSuffix(name, "_test.go") && filepath.Base(name) != "fit_serial.go" { // of a bundle's check
				all = append(all, programPieces(t, name)...)
			}
		}
	}
	all = append(all, scriptPieces(t)...)
	return slices.DeleteFunc(all, func(p piece) bool { return slices.Contains(notShown, p.text) })
}

var said = regexp.MustCompile(`\bsay\("([^"]*)"`)

// scriptPieces are the texts that scripts say.
func scriptPieces(t testing.TB) []piece {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(root, "api/page/static/*.js"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no scripts (%v)", err)
	}
	var all []piece
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, found := range said.FindAllStringSubmatch(string(text), -1) {
			all = append(all, split(holes.ReplaceAllString(found[1], apart), name)...)
		}
	}
	return all
}

var actions = regexp.MustCompile(`(?s)\{\{.*?\}\}`)

// apart stands where something is put in.
const apart = "\x01"

func templatePieces(t testing.TB) []piece {
	t.Helper()
	var all []piece
	folder := filepath.Join(root, "api/page/template")
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.Contains(path, "reference") { // the documentation of the API is in English
			return err
		}
		text, err := os.ReadFile(path)
		all = append(all, markupPieces(actions.ReplaceAllString(string(text), apart), path)...)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// markupPieces are the texts of HTML and of those attributes that people read.
func markupPieces(text, place string) []piece {
	var all []piece
	z := html.NewTokenizer(strings.NewReader(text))
	kept := ""
	for {
		switch z.Next() {
		case html.ErrorToken:
			return all
		case html.TextToken:
			if kept == "" {
				all = append(all, split(string(z.Text()), place)...)
			}
		case html.StartTagToken, html.SelfClosingTagToken:
			token := z.Token()
			if slices.Contains([]string{"script", "style", "code", "kbd", "noscript"}, token.Data) {
				kept = token.Data
			}
			for _, a := range token.Attr {
				if slices.Contains([]string{"title", "aria-label", "placeholder", "alt"}, a.Key) {
					all = append(all, split(a.Val, place)...)
				}
			}
		case html.EndTagToken:
			if name, _ := z.TagName(); string(name) == kept {
				kept = ""
			}
		case html.CommentToken, html.DoctypeToken:
		}
	}
}

// tagEnd is the end of a tag that another literal begins.
var tagEnd = regexp.MustCompile(`^"[^<]*>`)

var verbs = regexp.MustCompile(`%[+#]?[a-z]|%%`)

// sentence is a literal of a program that looks like one: words with a space between,
// or one with a capital.
var sentence = regexp.MustCompile(`[\pL,;:.] +[a-z(“]|^ ?[A-Z][a-z]+:?$`)

func programPieces(t testing.TB, name string) []piece {
	t.Helper()
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, name, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var all []piece
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field: // its tag
			return n.Tag == nil
		case *ast.BasicLit:
			text, err := strconv.Unquote(n.Value)
			if n.Kind != token.STRING || err != nil {
				return true
			}
			place := files.Position(n.Pos()).String()
			if strings.Contains(text, "<") && !strings.Contains(text, "%") {
				all = append(all, markupPieces(tagEnd.ReplaceAllString(text, ""), place)...)
			} else if sentence.MatchString(text) && !strings.ContainsAny(text, "=<>") && !strings.Contains(text, "'none'") {
				all = append(all, split(verbs.ReplaceAllString(text, apart), place)...)
			}
		}
		return true
	})
	return all
}

// split is a text without what is put into it, in pieces that have letters.
func split(text, place string) []piece {
	var all []piece
	for part := range strings.SplitSeq(strings.ReplaceAll(text, " · ", apart), apart) {
		part = strings.Trim(strings.Join(strings.Fields(part), " "), " ·⇄△?…+,:;()\"")
		if len(part) > 1 && strings.ContainsFunc(part, func(r rune) bool { return r >= 'a' && r <= 'z' }) {
			all = append(all, piece{part, strings.TrimPrefix(place, root+"/")})
		}
	}
	return all
}
