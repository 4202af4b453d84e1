package importer_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

// annotated runs the import of a table and returns it annotated.
func annotated(t testing.TB, path string, o importer.Options) string {
	t.Helper()
	report, err := importer.Run(context.Background(), &importertest.Store{}, []string{path}, o)
	importertest.Must(t, err)
	out := filepath.Join(t.TempDir(), "annotated"+filepath.Ext(path))
	importertest.Must(t, importer.Annotate(context.Background(), []string{path}, o, report.Findings, out))
	return out
}

// A CSV file comes back as it was, each row with what is wrong with it.
func TestAnnotateCSV(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ text, want string }{
		"clean": {
			"source;title\nS;'=1+1\n",
			"source;title;findings\nS;'=1+1;\n",
		},
		"formulas": {
			"source,title,note\r\n=S,\"+1\",-2\r\nT,'=1,\"@a\"\"b\"\r\n",
			"source,title,note,findings\r\n'=S,\"'+1\",'-2,\r\nT,'=1,\"'@a\"\"b\",\r\n",
		},
		"a row of each kind": {
			"\r\nsource,issued,remark\r\nS,,\r\n\r\n\"T\n, \"\"2\"\"\",x\r\n,2004-13,y\r\n",
			"\r\nsource,issued,remark,\"findings\nwarning in remark: the column \"\"remark\"\" is not read: this file has none of that name\"\r\n" +
				"S,,,\r\n\r\n\"T\n, \"\"2\"\"\",x,,\"error in issued: \"\"x\"\" is not a date; write it as 2004, 2004-09, 2004-09-17 or 2004-W38\"\r\n" +
				",2004-13,y,\"error in source: the cell is empty; every row of this file needs its source\n" +
				"error in issued: \"\"2004-13\"\" has no month 13; write a date as 2004, 2004-09, 2004-09-17 or 2004-W38\"\r\n",
		},
		"a quotation mark within a cell": {
			"source\na\"b\nc\n",
			"source,findings\na\"b,\"error: the quotation marks of the row do not pair up; write a cell that has one as \"\"5\"\"\"\" wide\"\"\"\nc,\n",
		},
		"a declared delimiter": {
			"sep=;\nsource;title\nS;a,b\n",
			"sep=;\nsource;title;findings\nS;a,b;\n",
		},
	} {
		path := filepath.Join(importertest.Folder(t, map[string]string{"sources.csv": c.text}), "sources.csv")
		got, err := os.ReadFile(annotated(t, path, importer.Options{}))
		importertest.Must(t, err)
		if diff := cmp.Diff("\ufeff"+c.want, strings.ReplaceAll(string(got), `"findings"`, "findings")); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

// A supplier's table under a mapping has the findings in its own rows.
func TestAnnotateMapped(t *testing.T) {
	t.Parallel()
	files := importertest.Supplied(t)
	files["table.csv"] = strings.Replace(files["table.csv"], ";2;B;3", ";2;8;3", 1)
	dir := importertest.Folder(t, files)
	out := annotated(t, filepath.Join(dir, "table.csv"), importer.Options{Map: filepath.Join(dir, "mapping.yaml")})
	text, err := os.ReadFile(out)
	importertest.Must(t, err)
	rows := strings.Split(string(text), "\n")
	if !strings.HasSuffix(rows[0], `;Issue;"findings"`) || !strings.HasSuffix(rows[1], ";1;") ||
		!strings.HasSuffix(rows[2], `;1;"error in C2: ""8"" at place 2 of the code is not on the selector; probably ""B"" is meant (probably B)"`) {
		t.Errorf("annotated:\n%s", text)
	}
}

// A workbook comes back with a column more in the sheets that are read; nothing
// in it is a formula.
func TestAnnotateWorkbook(t *testing.T) {
	t.Parallel()
	path := importertest.Workbook(t, "sources", func(f *excelize.File) {
		importertest.SetRow(t, f, "sources", "B2", "source", "issued")
		importertest.SetRow(t, f, "sources", "B3", "S", 38247)
		importertest.SetStyle(t, f, "sources", "C3", "dd.mm.yyyy")
		importertest.SetRow(t, f, "sources", "B4", "=T", "soon")
	})
	book, err := excelize.OpenFile(annotated(t, path, importer.Options{}))
	importertest.Must(t, err)
	defer book.Close()
	for at, want := range map[string]string{
		"D2": "findings\nwarning: column A has no header and is not read; give it one or remove it", "D3": "",
		"D4": `error in issued: "soon" is not a date; write it as 2004, 2004-09, 2004-09-17 or 2004-W38`,
		"B4": "=T", "C3": "17.09.2004",
	} {
		got, err := book.GetCellValue("sources", at)
		importertest.Must(t, err)
		if formula, _ := book.GetCellFormula("sources", at); got != want || formula != "" {
			t.Errorf("%s is %q (formula %q), want %q", at, got, formula, want)
		}
	}
}

func TestCannotAnnotate(t *testing.T) {
	t.Parallel()
	dir := importertest.Folder(t, map[string]string{"sources.csv": importertest.SourcesCSV, "stock.csv": importertest.StockCSV})
	at := func(name string) string { return filepath.Join(dir, name) }
	for name, c := range map[string]struct {
		paths []string
		out   string
		want  string
	}{
		"two":               {[]string{at("sources.csv"), at("stock.csv")}, at("out.csv"), "one table can be annotated"},
		"a folder":          {[]string{dir}, at("out.csv"), "one table can be annotated"},
		"itself":            {[]string{at("stock.csv")}, at("./stock.csv"), "would replace the original"},
		"another kind":      {[]string{at("stock.csv")}, at("out.xlsx"), "give it the ending .csv"},
		"where nothing is":  {[]string{at("stock.csv")}, at("nowhere/out.csv"), "cannot be written; check that the folder is there"},
		"where a folder is": {[]string{at("stock.csv")}, dir, "cannot be written"},
	} {
		err := importer.Annotate(context.Background(), c.paths, importer.Options{}, nil, c.out)
		if standin.CodeOf(err) != standin.CodeBadRequest || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
	if left, _ := filepath.Glob(at(".standin-*")); left != nil {
		t.Errorf("left behind: %v", left)
	}
}
