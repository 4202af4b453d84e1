package bundle

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"standin"
	"standin/db/internal/pg"
)

// What an import changes of rows that are stored already shows slips that no row shows
// alone: a column in another unit, exchanged, shifted, sorted or filled down. An audit
// has no changes and none of these warnings.

// undecided are the columns by which nothing is decided.
var undecided = map[string]bool{"title": true, "note": true, "source": true}

// watched returns the columns of a file whose changes are looked at. Stock changes all
// the time.
func watched(f standin.File) (columns []standin.Column) {
	if f.Name == "stock" || f.Name == "sources" {
		return nil
	}
	for _, c := range f.Columns {
		if !c.Key && !undecided[c.Name] {
			columns = append(columns, c)
		}
	}
	return columns
}

// changeWarnings finds what is odd about the changes of every file.
func (t *importTx) changeWarnings(ctx context.Context, limit int) (found []located, total int, err error) {
	for _, c := range t.counts {
		for _, find := range []func(context.Context, fileCount) ([]located, error){t.warnChanged, t.warnHalfChanged, t.warnNewKeys, t.warnOtherColumn, t.warnShrunk} {
			more, err := find(ctx, c)
			if err != nil {
				return nil, 0, err
			}
			found, total = firstByPlace(append(found, more...), limit), total+len(more)
		}
	}
	return found, total, nil
}

// warnChanged looks at the changed rows of a file one after the other.
func (t *importTx) warnChanged(ctx context.Context, c fileCount) ([]located, error) {
	columns := watched(c.File)
	if c.changed == 0 || len(columns) == 0 {
		return nil, nil
	}
	rows, err := t.query(ctx, fmt.Sprintf(`SELECT place, %s, %s FROM %s d WHERE op = 'changed' ORDER BY place`,
		cellTexts(columns, "(d.old)"), cellTexts(columns, "d"), deltaOf(c.File)))
	if err != nil {
		return nil, pg.Translate(err)
	}
	defer rows.Close()
	watches := make([]*columnWatch, len(columns))
	for i, column := range columns {
		watches[i] = &columnWatch{column: column}
	}
	for rows.Next() {
		var place int64
		var before, after []string
		if err := rows.Scan(&place, &before, &after); err != nil {
			return nil, pg.Translate(err)
		}
		for i, w := range watches {
			w.see(place, before[i], after[i])
		}
	}
	if err := rows.Err(); err != nil {
		return nil, pg.Translate(err)
	}
	rows.Close()
	return t.conclude(ctx, c, watches)
}

// conclude returns the findings of the columns of a file. Where most of a column
// changed, that is said once, in place of what was found row by row.
func (t *importTx) conclude(ctx context.Context, c fileCount, watches []*columnWatch) (found []located, err error) {
	recorded, stored, err := t.recordedOf(ctx, c, watches)
	if err != nil {
		return nil, err
	}
	for i, w := range watches {
		w.endRun()
		if !w.mostly(recorded[i], c.changed+c.unchanged, stored) {
			found = append(found, w.found...)
			continue
		}
		f := standin.Finding{Code: standin.ColumnChanged, Column: w.column.Name, Value: w.example,
			Message: fmt.Sprintf("%d of the %d values of %s that are recorded already would change%s: is it the right column, in the right unit and the right order?",
				w.changed, max(w.changed, recorded[i]), w.column.Name, w.by())}
		found = append(found, located{place: w.first, finding: f})
	}
	return found, nil
}

// recordedOf counts, for each column, the rows of the bundle that are stored already
// and have something recorded there, and the rows of the file that are stored.
func (t *importTx) recordedOf(ctx context.Context, c fileCount, watches []*columnWatch) (recorded []int, stored int, err error) {
	var names []string
	for _, w := range watches {
		names = append(names, "count("+quoted(w.column.Name)+")::integer")
	}
	counts := "ARRAY[" + strings.Join(names, ", ") + "]"
	var staged, added []int
	err = t.queryRow(ctx, fmt.Sprintf(`SELECT (SELECT %[1]s FROM %[2]s WHERE NOT removed), (SELECT %[1]s FROM %[3]s WHERE op = 'added'),
		(SELECT count(*)::integer FROM bundle.%[4]s)`, counts, stageOf(c.File), deltaOf(c.File), c.Name)).Scan(&staged, &added, &stored)
	if err != nil {
		return nil, 0, pg.Translate(err)
	}
	for i, w := range watches {
		recorded = append(recorded, staged[i]-added[i]+w.emptied)
	}
	return recorded, stored, nil
}

// columnWatch looks at the changes of one column, in the order of the rows.
type columnWatch struct {
	column  standin.Column
	changed int   // rows
	emptied int   // of these, that have nothing recorded any more
	first   int64 // of them
	example string
	factors map[string]int // how often the value changed by which factor
	found   []located

	run []located // rows in succession that changed to the value of the row above, or to its successor
	// The last row that changed.
	lastPlace int64
	last      string
	step      float64
}

// mostInRows is how many findings about single rows of a column are kept.
const mostInRows = 200

func (w *columnWatch) see(place int64, before, after string) {
	if before == after {
		return
	}
	if w.changed++; w.changed == 1 {
		w.first, w.example = place, after
	}
	if after == "" {
		w.emptied++
	}
	w.seeRun(place, after)
	f := standin.Finding{Column: w.column.Name, Value: after}
	switch factor := factorOf(w.column, before, after); {
	case factor != "":
		if w.factors == nil {
			w.factors = map[string]int{}
		}
		w.factors[factor]++
		f.Code, f.Message = standin.OffByFactor, fmt.Sprintf("%s is %s what is recorded, %s: is the unit right?", after, factor, before)
	case exchangedDay(w.column, before, after):
		f.Code, f.Message = standin.DayAndMonth, fmt.Sprintf("%s is what is recorded, %s, with day and month exchanged: which is right?", after, before)
	default:
		return
	}
	if len(w.found) < mostInRows {
		w.found = append(w.found, located{place: place, finding: f})
	}
}

// Runs of changed rows that are filled down have so many rows at least, the first not
// counted: it may be right.
const shortestRun = 3

// seeRun follows values that are repeated, or counted up, over rows in succession. Of a
// list the last number counts.
func (w *columnWatch) seeRun(place int64, after string) {
	goesOn := false
	if w.changed > 1 && after != "" && place == w.lastPlace+1 {
		step, ok := stepBetween(w.last, after)
		goesOn = ok && (len(w.run) == 1 || step == w.step)
		w.step = step
	}
	if !goesOn {
		w.endRun()
	}
	if goesOn || w.run == nil {
		w.run = append(w.run, located{place: place, finding: standin.Finding{Column: w.column.Name, Value: after}})
	}
	w.lastPlace, w.last = place, after
}

// endRun reports a run that is long enough at its first row.
func (w *columnWatch) endRun() {
	if n := len(w.run); n >= shortestRun && len(w.found) < mostInRows {
		l := w.run[0]
		l.finding.Code = standin.FilledDown
		l.finding.Message = fmt.Sprintf("this row and those below it, %d in all, would change to one value after the other (%s to %s): was the column filled down?",
			n, l.finding.Value, w.run[n-1].finding.Value)
		w.found = append(w.found, l)
	}
	w.run = nil
}

// stepBetween reports whether a value is the one above it, or its successor as a
// spreadsheet fills down: the number at its end one more.
func stepBetween(above, value string) (float64, bool) {
	if above == value {
		return 0, true
	}
	stem, a, ok := endingNumber(above)
	other, b, ok2 := endingNumber(value)
	return 1, ok && ok2 && stem == other && b == a+1
}

func endingNumber(text string) (stem string, n float64, ok bool) {
	stem = strings.TrimRight(text, "0123456789.")
	n, err := strconv.ParseFloat(text[len(stem):], 64)
	return stem, n, err == nil
}

// A column is warned of as a whole where half of what is recorded changes, and there
// are more changes than somebody corrects by hand, or the bundle has most of the file.
const (
	fewestOfColumn = 3
	manyOfColumn   = 20
)

func (w *columnWatch) mostly(recorded, matched, stored int) bool {
	return w.changed >= fewestOfColumn && 2*w.changed >= recorded && (w.changed >= manyOfColumn || 2*matched >= stored)
}

// by says the factor by which most values of the column changed.
func (w *columnWatch) by() string {
	for factor, n := range w.factors {
		if 2*n > w.changed {
			return ", most to " + factor + " what they are"
		}
	}
	return ""
}

// units are the factors between units that are mistaken for each other.
var units = []struct {
	factor float64
	said   string
}{
	{1000, "1,000 times"}, {0.001, "a thousandth of"}, {10, "10 times"}, {0.1, "a tenth of"}, {100, "100 times"}, {0.01, "a hundredth of"},
	{25.4, "25.4 times"}, {1 / 25.4, "1/25.4 of"}, {1000 / 25.4, "39.4 times (thousandths of an inch for millimetres)"}, {25.4 / 1000, "1/39.4 of"},
}

// unitTolerance allows for values that were rounded in the other unit.
const unitTolerance = 0.03

// factorOf returns the factor between units that a number changed by, in words, "" for
// none.
func factorOf(c standin.Column, before, after string) string {
	if c.Kind != standin.Number && c.Kind != standin.VoltsCell && c.Kind != standin.Numbers {
		return ""
	}
	a, err := strconv.ParseFloat(before, 64)
	b, err2 := strconv.ParseFloat(after, 64)
	if err != nil || err2 != nil || a == 0 {
		return ""
	}
	for _, u := range units {
		if math.Abs(b/a/u.factor-1) <= unitTolerance {
			return u.said
		}
	}
	return ""
}

func exchangedDay(c standin.Column, before, after string) bool {
	if c.Kind != standin.FromDate && c.Kind != standin.ToDate {
		return false
	}
	a, b := strings.Split(before, "-"), strings.Split(after, "-")
	return len(a) == 3 && len(b) == 3 && slices.Equal(a, []string{b[0], b[2], b[1]})
}
