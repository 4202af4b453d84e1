package importer_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// planting is a fault and where it was planted.
type planting struct {
	clean   exported
	random  *rand.Rand
	files   exported          // those that differ
	raw     map[string]string // texts in place of them, by file name
	replace []string          // families that the import replaces

	lines   map[int]bool // of the files that differ, counted as in a spreadsheet
	columns []string     // that differ as a whole
	whole   bool         // any finding about the file counts

	line     int    // of the one cell that differs; 0: several do
	original string // of that cell
	planted  string // in its place
}

func (p *planting) String() string {
	lines := slices.Sorted(maps.Keys(p.lines))
	return fmt.Sprint(slices.Sorted(maps.Keys(p.files)), p.columns, lines[:min(5, len(lines))])
}

func (p *planting) texts() map[string]string {
	all := p.files.bundle()
	maps.Copy(all, p.raw)
	return all
}

// isAbout reports whether a finding is about what was planted.
func (p *planting) isAbout(f standin.Finding) bool {
	_, differs := p.texts()[f.File]
	switch {
	case !differs:
		return false
	case p.whole, f.Line <= 1:
		return true
	}
	return p.lines[f.Line] || slices.Contains(p.columns, f.Column)
}

// edit is the copy of a file that is changed, nil where the catalogue has none.
func (p *planting) edit(file string) *grid {
	if p.files[file] == nil && p.clean[file] != nil {
		p.files[file] = p.clean[file].clone()
	}
	return p.files[file]
}

// spoil changes a row.
func (p *planting) spoil(row int) { p.lines[row+2] = true }

// recorded are the rows that have something in all of the columns.
func (g *grid) recorded(columns ...string) (rows []int) {
	for i, row := range g.rows {
		if !slices.ContainsFunc(columns, func(c string) bool { return g.at(c) < 0 || row[g.at(c)] == "" }) {
			rows = append(rows, i)
		}
	}
	return rows
}

func (p *planting) pick(rows []int) (int, bool) {
	if len(rows) == 0 {
		return 0, false
	}
	return rows[p.random.IntN(len(rows))], true
}

// A change turns the text of a cell into another; the same where there is nothing to
// change.
type change func(p *planting, cell string) string

// inWhole changes every cell of a column.
func inWhole(file, column string, c change) func(*planting) bool {
	return inWholeWhere(file, column, nil, c)
}

func inWholeWhere(file, column string, where func(g *grid, row []string) bool, c change) func(*planting) bool {
	return func(p *planting) bool {
		g := p.edit(file)
		if g == nil || g.at(column) < 0 {
			return false
		}
		p.columns = append(p.columns, column)
		changed := false
		for i, row := range g.rows {
			cell := &row[g.at(column)]
			if *cell == "" || where != nil && !where(g, row) {
				continue
			}
			if to := c(p, *cell); to != *cell {
				*cell, changed = to, true
				p.spoil(i)
			}
		}
		return changed
	}
}

// inOne changes one cell of a column.
func inOne(file, column string, c change) func(*planting) bool {
	return inOneWhere(file, column, nil, c)
}

func inOneWhere(file, column string, where func(g *grid, row []string) bool, c change) func(*planting) bool {
	return func(p *planting) bool {
		g := p.edit(file)
		if g == nil {
			return false
		}
		var rows []int
		for _, i := range g.recorded(column) {
			if where == nil || where(g, g.rows[i]) {
				rows = append(rows, i)
			}
		}
		for range 20 {
			i, ok := p.pick(rows)
			if !ok {
				return false
			}
			cell := &g.rows[i][g.at(column)]
			if to := c(p, *cell); to != *cell {
				p.line, p.original, p.planted, p.columns = i+2, *cell, to, nil
				*cell = to
				p.spoil(i)
				return true
			}
		}
		return false
	}
}

// corrected reports whether the findings offer a correction of the cell that was planted
// in, and whether all that they offer for its row are right.
func (p *planting) corrected(found []standin.Finding) (offered, right bool) {
	right = true
	for _, f := range found {
		if _, differs := p.texts()[f.File]; !differs || p.line == 0 || f.Line != p.line || f.Correction == "" || f.Code == standin.PredictedPattern {
			continue
		}
		offered = true
		right = right && (strings.ReplaceAll(f.Correction, " ", "") == strings.ReplaceAll(p.original, " ", "") ||
			strings.Replace(p.planted, f.Value, f.Correction, 1) == p.original) // of one word of a cell
	}
	return offered, right
}

// inEach changes a column in every file that has it.
func inAll(changes ...func(*planting) bool) func(*planting) bool {
	return func(p *planting) bool {
		changed := false
		for _, c := range changes {
			changed = c(p) || changed
		}
		return changed
	}
}

// times multiplies, rounded to a number of decimals.
func times(factor float64, decimals int) change {
	return func(_ *planting, cell string) string {
		x, err := strconv.ParseFloat(cell, 64)
		if err != nil {
			return cell
		}
		text := strconv.FormatFloat(x*factor, 'f', decimals, 64)
		if strings.Contains(text, ".") {
			text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
		}
		if text == "0" {
			return cell
		}
		return text
	}
}

// exchanged exchanges two columns.
func exchanged(file, a, b string) func(*planting) bool {
	return func(p *planting) bool {
		g := p.edit(file)
		if g == nil || g.at(a) < 0 || g.at(b) < 0 {
			return false
		}
		p.columns = []string{a, b}
		changed := false
		for i, row := range g.rows {
			x, y := g.at(a), g.at(b)
			if row[x] != row[y] {
				row[x], row[y] = row[y], row[x]
				changed = true
				p.spoil(i)
			}
		}
		return changed
	}
}

// slipped moves the cells of columns down by a row; the first has those of the last.
func slipped(file string, columns ...string) func(*planting) bool {
	return moved(file, func(from []string) []string { return append([]string{from[len(from)-1]}, from[:len(from)-1]...) }, columns...)
}

// sortedAlone sorts a column and leaves the others.
func sortedAlone(file string, columns ...string) func(*planting) bool {
	return moved(file, func(from []string) []string { return slices.Sorted(slices.Values(from)) }, columns...)
}

func moved(file string, move func([]string) []string, columns ...string) func(*planting) bool {
	return func(p *planting) bool {
		g := p.edit(file)
		if g == nil {
			return false
		}
		p.columns = columns
		changed := false
		for _, c := range columns {
			var from []string
			if g.at(c) < 0 {
				return false
			}
			for _, row := range g.rows {
				from = append(from, row[g.at(c)])
			}
			for i, cell := range move(slices.Clone(from)) {
				if g.rows[i][g.at(c)] != cell {
					g.rows[i][g.at(c)], changed = cell, true
					p.spoil(i)
				}
			}
		}
		return changed
	}
}

// filled copies a cell down over the next rows, changed by next each time.
func filled(file, column string, next change) func(*planting) bool {
	return func(p *planting) bool {
		g := p.edit(file)
		if g == nil {
			return false
		}
		const over = 6
		for range 20 {
			from, ok := p.pick(g.recorded(column))
			if !ok {
				return false
			}
			text, changed := g.rows[from][g.at(column)], false
			for i := from + 1; i <= from+over && i < len(g.rows); i++ {
				text = next(p, text)
				if cell := &g.rows[i][g.at(column)]; *cell != text {
					*cell, changed = text, true
					p.spoil(i)
				}
			}
			if changed {
				return true
			}
		}
		return false
	}
}

func same(_ *planting, cell string) string { return cell }

// series increments a number, or that at the end, as a spreadsheet does that is dragged.
func series(_ *planting, cell string) string {
	if _, err := strconv.ParseFloat(cell, 64); err == nil && cell[0] != '0' {
		return plusOne(cell)
	}
	at := len(strings.TrimRight(cell, "0123456789"))
	if at == len(cell) {
		return cell
	}
	n, err := strconv.Atoi(cell[at:])
	if err != nil {
		return cell
	}
	return cell[:at] + fmt.Sprintf("%0*d", len(cell)-at, n+1)
}

func plusOne(cell string) string {
	x, _ := strconv.ParseFloat(cell, 64) // it was tried
	return strconv.FormatFloat(x+1, 'f', -1, 64)
}

// word changes one of the words of a cell.
func word(c func(p *planting, word string) string) change {
	return func(p *planting, cell string) string {
		words := strings.Fields(cell)
		i := p.random.IntN(len(words))
		if len(words[i]) < 3 || words[i] == "none" {
			return cell
		}
		words[i] = c(p, words[i])
		return strings.Join(words, " ")
	}
}

// misspelt leaves a letter out, doubles one, replaces one, or exchanges two.
func misspelt(p *planting, word string) string {
	letters := []rune(word)
	i := 1 + p.random.IntN(len(letters)-2)
	switch p.random.IntN(4) {
	case 0:
		letters = slices.Delete(letters, i, i+1)
	case 1:
		letters = slices.Insert(letters, i, letters[i])
	case 2:
		letters[i] = 'a' + (letters[i]+7)%26
	case 3:
		letters[i], letters[i+1] = letters[i+1], letters[i]
	}
	return string(letters)
}

func capital(_ *planting, word string) string { return strings.ToUpper(word[:1]) + word[1:] }

func invented(*planting, string) string { return "brivel-unit" }

// homoglyph puts a Cyrillic or Greek letter in place of a Latin one that looks alike.
func homoglyph(_ *planting, cell string) string {
	for latin, other := range map[string]string{"A": "А", "B": "Β", "C": "С", "E": "Ε", "H": "Н", "K": "Κ", "M": "М", "O": "О", "P": "Р", "T": "Τ", "a": "а", "o": "о", "e": "е"} {
		if strings.Contains(cell, latin) {
			return strings.Replace(cell, latin, other, 1)
		}
	}
	return cell
}

// mistakenDigit puts a letter for a digit that it is mistaken for, or the reverse.
func mistakenDigit(p *planting, cell string) string {
	at := p.random.IntN(len(cell))
	for i := range len(cell) {
		from := cell[(at+i)%len(cell)]
		if k := strings.IndexByte("0O1lIO", from); k >= 0 {
			j := (at + i) % len(cell)
			return cell[:j] + string("O0l110"[k]) + cell[j+1:]
		}
	}
	return cell
}

// neighbours exchanges two symbols of a code, or two characters.
func neighbours(p *planting, cell string) string {
	between := " "
	symbols := strings.Fields(cell)
	if len(symbols) == 1 {
		symbols, between = strings.Split(cell, ""), ""
	}
	if len(symbols) < 2 {
		return cell
	}
	i := p.random.IntN(len(symbols) - 1)
	symbols[i], symbols[i+1] = symbols[i+1], symbols[i]
	return strings.Join(symbols, between)
}

// rotated moves every symbol, or character, by one place.
func rotated(_ *planting, cell string) string {
	between := " "
	symbols := strings.Fields(cell)
	if len(symbols) == 1 {
		symbols, between = strings.Split(cell, ""), ""
	}
	return strings.Join(append(symbols[1:], symbols[0]), between)
}

// otherDay changes a date; the bundle's dates may be years or months too.
func monthAndDay(_ *planting, cell string) string {
	parts := strings.Split(cell, "-")
	switch {
	case strings.Contains(cell, "W"):
	case len(parts) == 3 && parts[2] <= "12":
		return parts[0] + "-" + parts[2] + "-" + parts[1]
	case len(parts) == 2:
		return parts[0] + "-01-" + parts[1]
	}
	return cell
}

func century(to string) change {
	return func(_ *planting, cell string) string { return to + cell[2:] }
}

func suffixed(text string) change {
	return func(_ *planting, cell string) string { return cell + text }
}
