package mapping_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"standin"
	"standin/importer"
	"standin/importer/importertest"
)

// suppliersTable is a table of testdata/tables with what is right for it.
type suppliersTable struct {
	name    string
	family  string              // as given to map; empty: none
	text    string              // the table as CSV
	columns map[string][]string // by its letters, what a column is; "-" for one that is not read
	letters []string            // in their order
	edits   []string            // from the proposal to the mapping
	rows    map[string][]string // of the files, as written by staged
	come    bool                // there are such rows
}

// suppliersTables reads the tables whose names match a pattern.
func suppliersTables(t testing.TB, pattern string) []suppliersTable {
	t.Helper()
	paths, err := filepath.Glob("testdata/tables/" + pattern + ".txt")
	importertest.Must(t, err)
	var all []suppliersTable
	for _, path := range paths {
		text, err := os.ReadFile(path)
		importertest.Must(t, err)
		all = append(all, readSuppliersTable(t, strings.TrimSuffix(filepath.Base(path), ".txt"), string(text)))
	}
	return all
}

func readSuppliersTable(t testing.TB, name, text string) suppliersTable {
	t.Helper()
	s := suppliersTable{name: name, columns: map[string][]string{}, rows: map[string][]string{}}
	head, rest, _ := strings.Cut(text, "-- table.csv --\n")
	if _, family, found := strings.Cut(head, "family: "); found {
		s.family = strings.TrimSpace(family)
	}
	var columns, edits, rows string
	s.text, rest, _ = strings.Cut(rest, "-- columns --\n")
	columns, rest, _ = strings.Cut(rest, "-- edits --\n")
	edits, rows, s.come = strings.Cut(rest, "-- rows --\n")
	for line := range strings.Lines(columns) {
		words := strings.Fields(line)
		from, to, found := strings.Cut(words[0], ":")
		if !found {
			to = from
		}
		for c := from[0]; c <= to[0]; c++ {
			s.letters = append(s.letters, string(c))
			s.columns[string(c)] = words[1:]
		}
	}
	for line := range strings.Lines(edits) {
		s.edits = append(s.edits, strings.TrimSuffix(line, "\n"))
	}
	file, names := "", []string(nil)
	for line := range strings.Lines(rows) {
		line = strings.TrimSuffix(line, "\n")
		if before, after, found := strings.Cut(line, ": "); found && !strings.Contains(before, "|") {
			file, names = before, strings.Split(after, " | ")
			continue
		}
		var cells []string
		for i, cell := range strings.Split(line, "|") {
			if cell = strings.TrimSpace(cell); cell != "" {
				cells = append(cells, names[i]+"="+cell)
			}
		}
		s.rows[file] = append(s.rows[file], strings.Join(cells, " "))
	}
	return s
}

// write writes the table into a folder.
func (s suppliersTable) write(t testing.TB, dir string) string {
	t.Helper()
	path := filepath.Join(dir, s.name+".csv")
	importertest.Must(t, os.WriteFile(path, []byte(s.text), 0o600))
	return path
}

// mapping returns the proposal with its edits:
//
//	replace: OLD => NEW   within the first line that holds OLD
//	after: TEXT => LINE   a new line after the first that holds TEXT
//	drop: TEXT            the first line that holds TEXT
func (s suppliersTable) mapping(t testing.TB, proposal string) string {
	t.Helper()
	lines := strings.Split(proposal, "\n")
	for _, edit := range s.edits {
		verb, rest, _ := strings.Cut(edit, ": ")
		old, text, _ := strings.Cut(rest, " => ")
		at := slices.IndexFunc(lines, func(line string) bool { return strings.Contains(line, old) })
		if at < 0 {
			t.Fatalf("%s: the proposal has no %s:\n%s", s.name, old, proposal)
		}
		switch verb {
		case "replace":
			lines[at] = strings.Replace(lines[at], old, text, 1)
		case "after":
			lines = slices.Insert(lines, at+1, text)
		case "drop":
			lines = slices.Delete(lines, at, at+1)
		default:
			t.Fatalf("%s: no edit: %s", s.name, edit)
		}
	}
	return strings.Join(lines, "\n")
}

// right returns how many columns a proposal takes for what they are.
func (s suppliersTable) right(t testing.TB, path, proposal string) (right int, wrong []string) {
	t.Helper()
	filled := strings.NewReplacer(`constant: "?"`, `constant: "1"`).Replace(proposal)
	at := filepath.Join(t.TempDir(), "map.yaml")
	importertest.Must(t, os.WriteFile(at, []byte(filled), 0o600))
	explained, findings, err := importer.Explain(context.Background(), path, at, "", 1)
	importertest.Must(t, err)
	becomes := map[string][]string{}
	if explained == nil {
		return 0, []string{fmt.Sprint(findings)}
	}
	for _, c := range explained.Columns {
		becomes[c.Letters] = c.Becomes
	}
	for _, letter := range s.letters {
		want, got := s.columns[letter], becomes[letter]
		ok := len(got) == 0
		if want[0] != "-" {
			ok = !slices.ContainsFunc(want, func(w string) bool { return !slices.Contains(got, w) })
		}
		if ok {
			right++
		} else {
			wrong = append(wrong, fmt.Sprintf("%s: %v, not %v", letter, got, want))
		}
	}
	return right, wrong
}

// staged are rows of a file as the tables of testdata have them.
func staged(file standin.File, rows []standin.Row) []string {
	var all []string
	for _, row := range rows {
		var cells []string
		for c, value := range row.Cells {
			var text string
			switch value := value.(type) {
			case nil, standin.Absent:
				continue
			case []string:
				if text = strings.Join(value, " "); len(value) == 0 {
					text = "none"
				}
			case []float64:
				text = strings.Trim(fmt.Sprint(value), "[]")
			default:
				text = fmt.Sprint(value)
			}
			cells = append(cells, file.Columns[c].Name+"="+text)
		}
		all = append(all, strings.Join(cells, " "))
	}
	return all
}

// linesChanged is how many lines a person edits to make one text of another: a line that
// is changed is one, and so is one that is added or taken out. Comments do not count.
func linesChanged(before, after string) int {
	a, b := uncommented(before), uncommented(after)
	// The edit distance over lines (Wagner and Fischer, 1974).
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j := range b {
			cost := min(row[j], row[j+1]) + 1
			if a[i] == b[j] {
				cost = min(cost, diagonal)
			}
			cost = min(cost, diagonal+1)
			diagonal, row[j+1] = row[j+1], cost
		}
	}
	return row[len(b)]
}

func uncommented(text string) []string {
	var all []string
	for line := range strings.Lines(text) {
		line, _, _ = strings.Cut(strings.TrimSpace(line), " # ")
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			all = append(all, line)
		}
	}
	return all
}

const (
	rightShare = 0.8 // of the columns of a table
	mostEdits  = 10  // lines from a proposal to the mapping
)

// Of every table most columns are taken for what they are: by the table alone, as a
// workbook with its captions merged and its numbers as numbers, and where a catalogue has
// some of what it says.
func TestSuppliersColumns(t *testing.T) {
	t.Parallel()
	for _, s := range suppliersTables(t, "*") {
		check := func(t *testing.T, path string, o importer.ProposeOptions) {
			t.Helper()
			o.Family = s.family
			proposal := propose(t, path, o)
			right, wrong := s.right(t, path, proposal)
			t.Logf("%d of %d columns; wrong: %s", right, len(s.letters), strings.Join(wrong, "; "))
			if float64(right) < rightShare*float64(len(s.letters)) {
				t.Errorf("too few columns are right\n%s", proposal)
			}
		}
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			check(t, s.write(t, t.TempDir()), importer.ProposeOptions{})
		})
		t.Run(s.name+" as a workbook", func(t *testing.T) {
			t.Parallel()
			check(t, s.workbook(t), importer.ProposeOptions{})
		})
		t.Run(s.name+" with a catalogue", func(t *testing.T) {
			t.Parallel()
			if s.come {
				check(t, s.write(t, t.TempDir()), importer.ProposeOptions{Vocabulary: catalogueOf(s)})
			}
		})
	}
}

// cells are the cells of the table as CSV has them.
func (s suppliersTable) cells(t testing.TB) [][]string {
	t.Helper()
	in := csv.NewReader(strings.NewReader(s.text))
	in.FieldsPerRecord, in.LazyQuotes = -1, true
	if strings.Count(s.text, ";") > strings.Count(s.text, ",") {
		in.Comma = ';'
	}
	all, err := in.ReadAll()
	importertest.Must(t, err)
	return all
}

var (
	commaNumber = regexp.MustCompile(`^\d+,\d+$`)
	plainNumber = regexp.MustCompile(`^[1-9]\d{0,8}(\.\d+)?$`)
)

// workbook writes the table as a sheet: what a spreadsheet takes for a number is one, and
// captions are merged over the empty cells behind them.
func (s suppliersTable) workbook(t testing.TB) string {
	t.Helper()
	return importertest.Workbook(t, "Table", func(f *excelize.File) {
		for r, row := range s.cells(t) {
			for c, text := range row {
				at, err := excelize.CoordinatesToCellName(c+1, r+1)
				importertest.Must(t, err)
				var value any = text
				switch number := strings.Replace(text, ",", ".", 1); {
				case text == "":
					continue
				case commaNumber.MatchString(text) && strings.Contains(s.text, ";"), plainNumber.MatchString(text):
					x, err := strconv.ParseFloat(number, 64)
					importertest.Must(t, err)
					value = x
				}
				importertest.Must(t, f.SetCellValue("Table", at, value))
				if c+1 < len(row) && row[c+1] == "" && r < 5 && c > 0 && r > 0 && strings.Join(row, "") != text {
					to, err := excelize.CoordinatesToCellName(c+2, r+1)
					importertest.Must(t, err)
					importertest.Must(t, f.MergeCell("Table", at, to))
				}
			}
		}
	})
}

// vocabulary is what a catalogue has, by file and column.
type vocabulary map[string]map[string]bool

// catalogueOf is a catalogue that has every second row of what the table becomes.
func catalogueOf(s suppliersTable) vocabulary {
	has := vocabulary{}
	for file, rows := range s.rows {
		for i := 0; i < len(rows); i += 2 {
			names := namedCell.FindAllStringSubmatchIndex(rows[i], -1)
			for n, at := range names {
				end := len(rows[i])
				if n+1 < len(names) {
					end = names[n+1][0]
				}
				key := file + "." + rows[i][at[2]:at[3]]
				if has[key] == nil {
					has[key] = map[string]bool{}
				}
				has[key][rows[i][at[1]:end]] = true
			}
		}
	}
	return has
}

// namedCell is the beginning of a cell as staged writes it.
var namedCell = regexp.MustCompile(`(?:^| )(\w+)=`)

func (v vocabulary) Known(_ context.Context, file, column string, values []string) (n int, err error) {
	for _, value := range values {
		if v[file+"."+column][value] {
			n++
		}
	}
	return n, nil
}

func (v vocabulary) Families(context.Context, []string, int) ([]standin.Family, error) {
	return nil, nil
}

// Every table comes in as the rows written beside it, by its proposal with few lines
// edited.
func TestSuppliersRows(t *testing.T) {
	t.Parallel()
	for _, s := range suppliersTables(t, "*") {
		if !s.come {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			path, mapPath := s.write(t, dir), filepath.Join(dir, "map.yaml")
			proposal := propose(t, path, importer.ProposeOptions{Family: s.family})
			text := s.mapping(t, proposal)
			edited := linesChanged(proposal, text)
			t.Logf("%d lines edited", edited)
			if edited > mostEdits {
				t.Errorf("%d lines are edited", edited)
			}
			importertest.Must(t, os.WriteFile(mapPath, []byte(text), 0o600))
			if err := mappingSchema(t).Validate(asJSON(t, text)); err != nil {
				t.Errorf("the schema refuses it: %v", err)
			}
			store := &importertest.Store{}
			report, err := importer.Run(context.Background(), store, []string{path}, importer.Options{Map: mapPath})
			importertest.Must(t, err)
			if report.Errors > 0 {
				t.Errorf("findings:\n%s\n%s", importertest.FindingLines(report), text)
			}
			got := map[string][]string{}
			for _, file := range standin.Files {
				if rows := staged(file, store.Staged[file.Name]); rows != nil {
					got[file.Name] = rows
				}
			}
			if diff := cmp.Diff(s.rows, got); diff != "" {
				t.Errorf("rows (-want +got):\n%s\n%s", diff, text)
			}
		})
	}
}
