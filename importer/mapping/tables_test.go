package mapping_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

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
			case nil:
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

// Of every table most columns are taken for what they are, by the table alone.
func TestSuppliersColumns(t *testing.T) {
	t.Parallel()
	for _, s := range suppliersTables(t, "*") {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			path := s.write(t, t.TempDir())
			proposal := propose(t, path, importer.ProposeOptions{Family: s.family})
			right, wrong := s.right(t, path, proposal)
			t.Logf("%d of %d columns; wrong: %s", right, len(s.letters), strings.Join(wrong, "; "))
			if float64(right) < rightShare*float64(len(s.letters)) {
				t.Errorf("too few columns are right\n%s", proposal)
			}
		})
	}
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
