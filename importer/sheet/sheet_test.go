package sheet_test

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

// The sources of a workbook whose titles are the cells, as they are shown.
func TestCells(t *testing.T) {
	t.Parallel()
	const sheet = "Sources"
	for name, c := range map[string]struct {
		cell   any
		format string // of the number; empty: general
		want   any
	}{
		"text":                        {"a & b <c>", "", "a & b <c>"},
		"a text's zeros":              {"007", "", "007"},
		"text like an exponent":       {"1E5", "", "1E5"},
		"text as a formula":           {"'=1", "", "'=1"},
		"a whole number":              {12345678.0, "", "12345678"},
		"a long whole number":         {6291041500213.0, "", "6291041500213"},
		"a number's 15 digits":        {0.1 + 0.2, "", "0.3"},
		"a small number":              {0.00001, "", "0.00001"},
		"a large number":              {1e20, "", "100000000000000000000"},
		"a percentage":                {0.5, "0%", "0.5"},
		"zeros that are shown":        {42, "000000", "000042"},
		"two decimals":                {2, "0.00", "2"},
		"a date":                      {38247, "dd.mm.yyyy", "2004-09-17"},
		"a date in words":             {38247, `[$-407]d. mmmm yyyy;@`, "2004-09-17"},
		"a month":                     {38247, "mm/yyyy", "2004-09"},
		"a year":                      {38247, "yyyy", "2004"},
		"a date with the time":        {38247.5, "yyyy-mm-dd hh:mm", "2004-09-17 12:00:00"},
		"a date with midnight":        {38247, "yyyy-mm-dd hh:mm:ss.000", "2004-09-17"},
		"a date whose time is unseen": {38247.5, "yyyy-mm-dd", "2004-09-17"},
		"no date: days in quotes":     {3, `0 "days"`, "3"},
		"no date: an exponent":        {3, "0.00E+00", "3"},
		"no date: a time":             {0.5, "h:mm AM/PM", "0.5"},
		"no date: below the first":    {-1, "yyyy-mm-dd", "-1"},
		// ECMA-376 part 1, 18.17.4.1 keeps the 29 February 1900 of old programs: 59 is the 28th, 61 the 1st of March.
		"28 February 1900": {59, "yyyy-mm-dd", "1900-02-28"},
		"29 February 1900": {60, "yyyy-mm-dd", "60"},
		"1 March 1900":     {61, "yyyy-mm-dd", "1900-03-01"},
		"true":             {true, "", "TRUE"},
		"false":            {false, "", "FALSE"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := importertest.Workbook(t, sheet, func(f *excelize.File) {
				importertest.SetRow(t, f, sheet, "A1", "source", "title")
				importertest.SetRow(t, f, sheet, "A2", "S", c.cell)
				if c.format != "" {
					importertest.SetStyle(t, f, sheet, "B2", c.format)
				}
			})
			report, store := importertest.Run(t, path)
			if report.Errors+report.Warnings > 0 {
				t.Errorf("findings:\n%s", importertest.FindingLines(report))
			}
			if rows := store.Staged["sources"]; len(rows) != 1 || rows[0].Cells[1] != c.want {
				t.Errorf("staged %v, want the title %v", rows, c.want)
			}
		})
	}
}

// Formats that a file names by their number alone (ECMA-376 part 1, 18.8.30).
func TestBuiltInFormats(t *testing.T) {
	t.Parallel()
	for id, want := range map[int]string{0: "38247", 2: "38247", 14: "2004-09-17", 17: "2004-09", 20: "38247", 22: "2004-09-17", 49: "38247"} {
		path := importertest.Workbook(t, "sources", func(f *excelize.File) {
			importertest.SetRow(t, f, "sources", "A1", "source", "title")
			importertest.SetRow(t, f, "sources", "A2", "S", 38247)
			style, err := f.NewStyle(&excelize.Style{NumFmt: id})
			importertest.Must(t, err)
			importertest.Must(t, f.SetCellStyle("sources", "B2", "B2", style))
		})
		_, store := importertest.Run(t, path)
		if got := store.Staged["sources"][0].Cells[1]; got != want {
			t.Errorf("format %d shows %v, want %s", id, got, want)
		}
	}
}

// In the system of 1904 day 0 is 1 January 1904 (ECMA-376 part 1, 18.17.4.1).
func TestFrom1904(t *testing.T) {
	t.Parallel()
	yes := true
	path := importertest.Workbook(t, "sources", func(f *excelize.File) {
		importertest.Must(t, f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}))
		importertest.SetRow(t, f, "sources", "A1", "source", "title")
		importertest.SetRow(t, f, "sources", "A2", "S", 36785)
		importertest.SetStyle(t, f, "sources", "B2", "yyyy-mm-dd")
	})
	_, store := importertest.Run(t, path)
	if got := store.Staged["sources"][0].Cells[1]; got != "2004-09-17" {
		t.Errorf("the date is %v", got)
	}
}

// What a formula shows, and what shows an error; rich text; lines are the
// sheet's rows, and the sheets a bundle's files.
func TestWorkbook(t *testing.T) {
	t.Parallel()
	path := importertest.Workbook(t, "Sources", func(f *excelize.File) {
		importertest.SetRow(t, f, "Sources", "B3", "Title", "SOURCE", "issued")
		importertest.SetRow(t, f, "Sources", "B5", 12, "S1")
		importertest.Must(t, f.SetCellFormula("Sources", "B5", "10+2"))
		importertest.Must(t, f.SetCellRichText("Sources", "B6", []excelize.RichTextRun{{Text: "two "}, {Text: "runs", Font: &excelize.Font{Bold: true}}}))
		importertest.SetRow(t, f, "Sources", "C6", "S2", "17/09/2004")
		importertest.SetRow(t, f, "Sources", "B7", "x", "S3")
		importertest.Must(t, f.SetRowVisible("Sources", 6, false))
		importertest.Must(t, f.MergeCell("Sources", "B7", "B8"))
		_, err := f.NewSheet("stock")
		importertest.Must(t, err)
		importertest.SetRow(t, f, "stock", "A1", "location", "part_number", "condition", "quantity")
		importertest.SetRow(t, f, "stock", "A2", "front", 4711, "new", 3.0)
		for _, name := range []string{"Lists", "sauces"} {
			_, err = f.NewSheet(name)
			importertest.Must(t, err)
		}
		importertest.Must(t, f.SetSheetVisible("Lists", false))
	})
	report, store := importertest.Run(t, path)
	want := strings.Join([]string{
		"warning Sources:0 merged-cells: cells are merged (B7:B8); what they say counts for the first of them alone, the others are empty",
		"warning Sources:3 unknown-column: column A has no header and is not read; give it one or remove it",
		"warning Sources:6 hidden-rows: hidden rows are read like the others: 6",
		`error Sources:6 issued bad-value: "17/09/2004" is not a date; write it as 2004, 2004-09, 2004-09-17 or 2004-W38 => 2004-09-17`,
		"warning Lists:0 hidden-sheet: the sheet is hidden and not read; show it in the spreadsheet to have it read",
		"warning sauces:0 unknown-file: the sheet is not read: a bundle has no file of this name => sources",
	}, "\n")
	if diff := cmp.Diff(want, importertest.FindingLines(report)); diff != "" {
		t.Errorf("findings (-want +got):\n%s", diff)
	}
	sources := []standin.Row{
		{Line: 5, Cells: []any{"S1", "12", nil, standin.Absent{}}},
		{Line: 6, Cells: []any{"S2", "two runs", nil, standin.Absent{}}},
		{Line: 7, Cells: []any{"S3", "x", nil, standin.Absent{}}},
	}
	if diff := cmp.Diff(sources, store.Staged["sources"]); diff != "" {
		t.Errorf("sources (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]standin.Row{{Line: 2, Cells: []any{"front", "4711", nil, "new", int64(3)}}}, store.Staged["stock"]); diff != "" {
		t.Errorf("stock (-want +got):\n%s", diff)
	}
	if got := report.Read[0].String(); got != "Sources: 3 rows (XLSX), without note: these stay as recorded" {
		t.Errorf("read %q", got)
	}
}

// A workbook in a folder is as good as its sheets beside the files; in a zip it
// is said to be unpacked.
func TestWorkbookWithin(t *testing.T) {
	t.Parallel()
	path := importertest.Workbook(t, "sources", func(f *excelize.File) {
		importertest.SetRow(t, f, "sources", "A1", "source")
		importertest.SetRow(t, f, "sources", "A2", "S")
	})
	text, err := os.ReadFile(path)
	importertest.Must(t, err)
	report, store := importertest.Run(t, importertest.Folder(t, map[string]string{"book.xlsx": string(text), "stock.csv": importertest.StockCSV}))
	if report.Errors != 0 || len(store.Staged["sources"]) != 1 || len(store.Staged["stock"]) != 1 {
		t.Errorf("in a folder: staged %v\n%s", store.Staged, importertest.FindingLines(report))
	}
	report, _ = importertest.Run(t, importertest.Zip(t, importertest.Entry{Name: "book.xlsx", Text: string(text)}, importertest.Entry{Name: "stock.csv", Text: importertest.StockCSV}))
	const want = "error book.xlsx:0 unreadable-file: it is a spreadsheet within a zip; unpack it first"
	if got := importertest.FindingLines(report); got != want {
		t.Errorf("in a zip:\n%s\nwant:\n%s", got, want)
	}
}

// part is a part of a workbook made by hand.
func handmade(t testing.TB, sheet, shared string) string {
	t.Helper()
	const relations = `<Relationships xmlns="x">`
	const types = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	path := importertest.Zip(t,
		importertest.Entry{Name: "_rels/.rels", Text: relations + `<Relationship Id="a" Type="` + types + `/officeDocument" Target="/xl/workbook.xml"/></Relationships>`},
		importertest.Entry{Name: "xl/workbook.xml", Text: `<workbook xmlns:r="` + types + `"><sheets><sheet name="sources" r:id="b"/></sheets></workbook>`},
		importertest.Entry{Name: "xl/_rels/workbook.xml.rels", Text: relations + `<Relationship Id="b" Type="` + types + `/worksheet" Target="sheet.xml"/>` +
			`<Relationship Id="c" Type="` + types + `/sharedStrings" Target="texts.xml"/></Relationships>`},
		importertest.Entry{Name: "xl/sheet.xml", Text: sheet},
		importertest.Entry{Name: "xl/texts.xml", Text: shared},
	)
	named := strings.TrimSuffix(path, ".zip") + ".xlsx"
	importertest.Must(t, os.Rename(path, named))
	return named
}

const sheetStart = `<worksheet><sheetData><row><c t="inlineStr"><is><t>source</t></is></c><c t="inlineStr"><is><t>title</t></is></c></row>`

func TestHandmadeCells(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		cell string
		want string // the title, or the finding
	}{
		"shared":                   {`<c t="s"><v>0</v></c>`, "shared"},
		"shared in runs":           {`<c t="s"><v>1</v></c>`, "two runs"},
		"shared, escaped":          {`<c t="s"><v>2</v></c>`, "a\tb"},
		"not there":                {`<c t="s"><v>7</v></c>`, "error sources:2 title bad-value: the workbook has lost the text of this cell; type it again"},
		"a formula's":              {`<c t="str"><f>A1&amp;"b"</f><v>ab_x000D_c</v></c>`, "ab\rc"},
		"not worked out":           {`<c><f>A1&amp;"b"</f></c>`, `error sources:2 title bad-value: the formula in cell B2 has not been worked out; open the workbook in a spreadsheet program and save it, or type the value`},
		"not worked out, as empty": {`<c r="B2"><f>1+1</f><v></v></c>`, `error sources:2 title bad-value: the formula in cell B2 has not been worked out; open the workbook in a spreadsheet program and save it, or type the value`},
		"shared, not worked out":   {`<c><f t="shared" si="0"/><v/></c>`, `error sources:2 title bad-value: the formula in cell B2 has not been worked out; open the workbook in a spreadsheet program and save it, or type the value`},
		"an error":                 {`<c t="e"><v>#N/A</v></c>`, `error sources:2 title bad-value: the cell shows the error "#N/A"; correct its formula or type the value`},
		"an ISO date":              {`<c t="d"><v>2004-09-17T00:00:00Z</v></c>`, "2004-09-17"},
		"no style":                 {`<c s="99"><v>5</v></c>`, "5"},
		"an exponent":              {`<c><v>1.5E3</v></c>`, "1500"},
		"a comment":                {`<c><v>1<!-- 2 -->3</v></c>`, "13"},
		"out of order":             {`<c r="A2"><v>1</v></c>`, "error sources:2 unreadable-file: the cells of row 2 are out of order; save the workbook again"},
		"of another row":           {`<c r="B9"><v>1</v></c>`, "error sources:2 unreadable-file: the cells of row 2 are out of order; save the workbook again"},
		"too far":                  {`<c r="XFE2"><v>1</v></c>`, "error sources:2 unreadable-file: row 2 has more cells than a spreadsheet can have (16384)"},
	} {
		sheet := sheetStart + `<row><c t="inlineStr"><is><t>S</t></is></c>` + c.cell + `</row></sheetData></worksheet>`
		report, store := importertest.Run(t, handmade(t, sheet, `<sst><si><t>shared</t></si><si><r><t>two </t></r><r><t>runs</t></r><rPh><t>no</t></rPh></si><si><t>a_x0009_b</t></si></sst>`))
		if got := importertest.FindingLines(report); got != "" {
			if got != c.want {
				t.Errorf("%s: %s, want %s", name, got, c.want)
			}
			continue
		}
		if got := store.Staged["sources"][0].Cells[1]; got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// A formula whose value is the empty text has been worked out.
func TestFormulaOfNothing(t *testing.T) {
	t.Parallel()
	sheet := sheetStart + `<row><c t="inlineStr"><is><t>S</t></is></c><c t="str"><f>IF(A2="S","","x")</f><v></v></c></row></sheetData></worksheet>`
	report, store := importertest.Run(t, handmade(t, sheet, "<sst/>"))
	if got := importertest.FindingLines(report); got != "" || store.Staged["sources"][0].Cells[1] != nil {
		t.Errorf("found %q, staged %v", got, store.Staged["sources"])
	}
}

// Bombs and damage, each with its sentence.
func TestUnreadableWorkbooks(t *testing.T) {
	t.Parallel()
	const good = sheetStart + `<row><c><v>1</v></c></row></sheetData></worksheet>`
	const much = 64 << 20
	for name, c := range map[string]struct{ sheet, shared, want string }{
		"cut":            {sheetStart, "<sst/>", "the workbook is damaged; save it again"},
		"no XML":         {sheetStart + "<row><c></row>", "<sst/>", "the workbook is damaged; save it again"},
		"entities":       {sheetStart + `<row><c><v>&lol;</v></c></row>`, "<sst/>", "the workbook is damaged; save it again"},
		"rows again":     {sheetStart + `<row r="1"/>`, "<sst/>", "the rows of the sheet are out of order; save the workbook again"},
		"too many rows":  {sheetStart + `<row r="1048577"/>`, "<sst/>", "the sheet has more rows than a spreadsheet can have (1048576); split it"},
		"far more rows":  {sheetStart + `<row r="99999999999999999999"/>`, "<sst/>", "the sheet has more rows than a spreadsheet can have (1048576); split it"},
		"one row more":   {sheetStart + `<row r="1048576"/><row/>`, "<sst/>", "the sheet has more rows than a spreadsheet can have (1048576); split it"},
		"no row number":  {sheetStart + `<row r="x"/>`, "<sst/>", `row "x" is no number; save the workbook again`},
		"texts cut":      {good, "<sst><si>", "the workbook is damaged; save it again"},
		"a bomb":         {sheetStart + strings.Repeat("<x/>", much/4), "<sst/>", "the file grows too much when it is unpacked (at most 4 GiB, and 200 times its packed size)"},
		"a long row":     {sheetStart + "<row>" + hard(20<<20), "<sst/>", "the row is larger than that of any honest spreadsheet; save the sheet as CSV"},
		"a long text":    {good, "<sst><si><t>" + hard(20<<20), "the row is larger than that of any honest spreadsheet; save the sheet as CSV"},
		"a bomb of text": {good, "<sst>" + strings.Repeat("<si/>", 8<<20), "the file grows too much when it is unpacked (at most 4 GiB, and 200 times its packed size)"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			report, _ := importertest.Run(t, handmade(t, c.sheet, c.shared))
			if report.Errors != 1 || report.Committed || report.Findings[0].Message != c.want || report.Findings[0].Code != standin.UnreadableFile {
				t.Errorf("findings:\n%s\nwant: %s", importertest.FindingLines(report), c.want)
			}
		})
	}
}

// hard is text of that many bytes that packs badly enough to pass for honest.
func hard(n int) string {
	b := make([]byte, n)
	state := uint32(1)
	for i := range b {
		state = state*1664525 + 1013904223
		b[i] = 'a' + byte(state>>24)%26
	}
	return string(b)
}

func TestNotWorkbooks(t *testing.T) {
	t.Parallel()
	compound := "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + strings.Repeat("\x00", 512)
	locked := compound + strings.Join(strings.Split("EncryptedPackage", ""), "\x00") + "\x00"
	for _, c := range []struct{ name, text, want string }{
		{"a.xlsx", "part_number\n", "the file is no spreadsheet or is damaged; save it again as .xlsx"},
		{"a.xlsx", "", "the file is no spreadsheet or is damaged; save it again as .xlsx"},
		{"a.xlsx", compound, "the file is an old spreadsheet; save it as .xlsx"},
		{"a.xlsx", locked, "the spreadsheet is locked with a password; save it without one"},
		{"a.xls", compound, "it is a spreadsheet of a kind that is not read (.xls); save it as .xlsx"},
		{"a.ods", "PK", "it is a spreadsheet of a kind that is not read (.ods); save it as .xlsx"},
	} {
		report, _ := importertest.Run(t, importertest.Folder(t, map[string]string{c.name: c.text, "stock.csv": importertest.StockCSV}))
		if report.Errors != 1 || report.Findings[0].Code != standin.UnreadableFile || report.Findings[0].Message != c.want {
			t.Errorf("%s: %s\nwant: %s", c.name, importertest.FindingLines(report), c.want)
		}
	}
	f := excelize.NewFile()
	path := filepath.Join(t.TempDir(), "secret.xlsx")
	importertest.Must(t, f.SaveAs(path, excelize.Options{Password: "x"}))
	if report, _ := importertest.Run(t, path); report.Findings[0].Message != "the spreadsheet is locked with a password; save it without one" {
		t.Errorf("a workbook locked by another program: %s", importertest.FindingLines(report))
	}
}

// Reading a sheet ends with the context.
func TestCancelledSheet(t *testing.T) {
	t.Parallel()
	path := handmade(t, sheetStart+strings.Repeat(`<row><c t="inlineStr"><is><t>S</t></is></c></row>`, 50_000)+"</sheetData></worksheet>", "<sst/>")
	ctx, cancel := context.WithCancel(context.Background())
	store := &importertest.Sink{}
	store.Each = func() { cancel() }
	_, err := importer.Run(ctx, store, []string{path}, importer.Options{})
	if err == nil || store.Rows > 25_000 {
		t.Errorf("error %v after %d rows", err, store.Rows)
	}
}

// Rows of a sheet go through one at a time, as those of a CSV file do.
func TestSheetInBoundedMemory(t *testing.T) {
	const rows, between = 100_000, 10_000
	f := excelize.NewFile()
	importertest.Must(t, f.SetSheetName("Sheet1", "configurations"))
	w, err := f.NewStreamWriter("configurations")
	importertest.Must(t, err)
	importertest.Must(t, w.SetRow("A1", []any{"family", "brand", "model", "code", "pattern"}))
	for i := range rows {
		importertest.Must(t, w.SetRow("A"+strconv.Itoa(i+2), []any{"Marl", "Ondral", i, "A", "1"}))
	}
	importertest.Must(t, w.Flush())
	path := filepath.Join(t.TempDir(), "book.xlsx")
	importertest.Must(t, f.SaveAs(path))
	importertest.Must(t, f.Close())
	f, w = nil, nil
	store := &importertest.Sink{}
	var first, most uint64
	store.Each = func() {
		if store.Rows%between == 0 {
			if most = max(most, importertest.LiveHeap()); first == 0 {
				first = most
			}
		}
	}
	_, err = importer.Run(context.Background(), store, []string{path}, importer.Options{})
	importertest.Must(t, err)
	if store.Rows != rows || most > first+8<<20 {
		t.Errorf("over %d rows the heap grew from %d KiB to %d KiB", store.Rows, first>>10, most>>10)
	}
}
