package bundle

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"

	"standin"
	"standin/db/internal/pg"
)

// mostProofread is how many rows of a family are proof-read against each other. A
// larger family is read in parts, each a sample of all of it, so that memory does
// not grow with it: what so many rows do not tell of a family, more do not either.
const mostProofread = 5_000

// mostAtOnce is how many families or parts are proof-read at once; each takes some
// 5 MB.
const mostAtOnce = 4

// familiesSpokenOf are the families with rows that are spoken of, and how many rows
// each has in all.
const familiesSpokenOf = `SELECT family, coalesce(f.selector, '{}'), coalesce(f.code_length, 0)::integer, coalesce(f.readback, '{}'), n.rows
	FROM next_families f
	JOIN (SELECT family, count(*) AS rows FROM next_configurations GROUP BY family HAVING count(place) > 0) n USING (family)`

// rowsOfFamilies are all rows of the families that are spoken of, one family
// after the other, each shuffled, always alike.
const rowsOfFamilies = `SELECT coalesce(place, -2), family, brand, model, variant, coalesce(build, ''), coalesce(code, '{}'), coalesce(pattern, '')
	FROM next_configurations
	WHERE family IN (SELECT family FROM next_configurations WHERE place IS NOT NULL)
	ORDER BY family, hashtextextended(concat_ws('|', brand, model, variant, build, issue_from), 0), brand, model, variant, build, issue_from NULLS FIRST`

// notSpokenOf is the place of a stored row that nothing is to be said of.
const notSpokenOf = -2

// familySpokenOf is a family as it would be, with so many rows.
type familySpokenOf struct {
	standin.Family
	rows int
}

// part is how many rows one part of the family has at most, parts being equal.
func (f *familySpokenOf) part() int {
	parts := (f.rows + mostProofread - 1) / mostProofread
	return (f.rows + parts - 1) / parts
}

// proofread is a family, rows of it or all, and where they stand.
type proofread struct {
	family         *standin.Family
	configurations []standin.Configuration
	places         []int64
}

// warnMisprints finds the rows that are likely misprinted, going by the others of
// their family, and offers for a code without a pattern the one that these make
// expect. It is worked out in Go, several families at once.
func (in *inspection) warnMisprints(ctx context.Context, limit int) ([]located, int, error) {
	families, err := in.familiesSpokenOf(ctx)
	if err != nil {
		return nil, 0, err
	}
	told := &remarks{limit: limit, turns: make(chan struct{}, min(mostAtOnce, runtime.GOMAXPROCS(0)))}
	err = in.eachPart(ctx, families, func(p proofread) {
		if !slices.ContainsFunc(p.places, func(place int64) bool { return place != notSpokenOf }) {
			return
		}
		told.add(func() []located {
			if ctx.Err() != nil {
				return nil
			}
			return p.remarks()
		})
	})
	told.wait()
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, 0, pg.Translate(err)
	}
	return told.found, told.total, nil
}

// remarks collects what there is to say of families, several worked at once, in
// the order of the families. It keeps no more than the first limit, however many
// there are.
type remarks struct {
	limit int
	turns chan struct{}    // one taken for each family under way
	open  []chan []located // those not collected yet, in order
	found []located
	total int
}

func (r *remarks) add(find func() []located) {
	r.turns <- struct{}{}
	result := make(chan []located, 1)
	r.open = append(r.open, result)
	go func() {
		result <- find()
		<-r.turns
	}()
	for len(r.open) > 0 && len(r.open[0]) > 0 {
		r.collect()
	}
}

func (r *remarks) wait() {
	for len(r.open) > 0 {
		r.collect()
	}
}

// collect takes what the first family under way has to say.
func (r *remarks) collect() {
	more := <-r.open[0]
	r.open = r.open[1:]
	r.found, r.total = first(append(r.found, more...), r.limit), r.total+len(more)
}

func (in *inspection) familiesSpokenOf(ctx context.Context) (map[string]*familySpokenOf, error) {
	rows, err := in.query(ctx, familiesSpokenOf)
	if err != nil {
		return nil, pg.Translate(err)
	}
	defer rows.Close()
	families := map[string]*familySpokenOf{}
	for rows.Next() {
		f := &familySpokenOf{}
		if err := rows.Scan(&f.Name, &f.Selector, &f.CodeLength, &f.Readback, &f.rows); err != nil {
			return nil, pg.Translate(err)
		}
		families[f.Name] = f
	}
	return families, pg.Translate(rows.Err())
}

// eachPart reads the rows and hands on a family, or a part of a large one, when it
// is complete.
func (in *inspection) eachPart(ctx context.Context, families map[string]*familySpokenOf, do func(proofread)) error {
	rows, err := in.query(ctx, rowsOfFamilies)
	if err != nil {
		return err
	}
	defer rows.Close()
	var p proofread
	for rows.Next() {
		var c standin.Configuration
		var place int64
		if err := rows.Scan(&place, &c.Family, &c.Model.Brand, &c.Model.Model, &c.Model.Variant, &c.Build, &c.Code, &c.Pattern); err != nil {
			return err
		}
		f := families[c.Family]
		if f == nil {
			continue // an unknown reference, said elsewhere
		}
		if p.family != &f.Family || len(p.places) == f.part() {
			do(p)
			p = proofread{family: &f.Family}
		}
		p.configurations, p.places = append(p.configurations, c), append(p.places, place)
	}
	do(p)
	return rows.Err()
}

// remarks are what there is to say of the rows that are spoken of.
func (p *proofread) remarks() []located {
	table := standin.NewTable(p.family, p.configurations)
	var found []located
	for _, m := range table.Misprints() {
		if p.places[m.Index] != notSpokenOf {
			found = append(found, located{place: p.places[m.Index], finding: misprintFinding(&m)})
		}
	}
	return append(found, p.predicted(table)...)
}

func misprintFinding(m *standin.Misprint) standin.Finding {
	c := &m.Configuration
	f := standin.Finding{Code: standin.LikelyMisprint, Column: "pattern", Value: string(c.Pattern), Message: saidOf(c, m.Text)}
	if len(m.Corrections) == 0 {
		return f
	}
	likeliest := m.Corrections[0]
	if f.Correction = string(likeliest.Pattern); likeliest.Column == "code" {
		f.Column, f.Value, f.Correction = "code", strings.Join(c.Code, " "), strings.Join(likeliest.Code, " ")
	}
	return f
}

// predicted offers patterns for codes without one, where the code map knows
// every point.
func (p *proofread) predicted(table *standin.Table) []located {
	var found []located
	var codeMap *standin.CodeMap
	for i := range p.configurations {
		c := &p.configurations[i]
		if c.Pattern != "" || p.places[i] == notSpokenOf || p.family.CodeLength == 0 || len(p.family.Readback) == 0 {
			continue
		}
		if codeMap == nil {
			codeMap = table.CodeMap()
		}
		pattern, err := codeMap.Predict(c.Code)
		if err != nil || strings.ContainsRune(string(pattern), standin.NotRead) {
			continue
		}
		found = append(found, located{place: p.places[i], finding: standin.Finding{
			Code: standin.PredictedPattern, Column: "pattern", Correction: string(pattern) + " (predicted)",
			Message: saidOf(c, fmt.Sprintf("no pattern is recorded for the code %s; going by the other codes it would be %s: predicted, so read a board back before it is recorded",
				strings.Join(c.Code, " "), pattern)),
		}})
	}
	return found
}

// saidOf is a sentence with the row it is about.
func saidOf(c *standin.Configuration, sentence string) string {
	row := c.Model.String()
	if c.Build != "" {
		row += ", build " + c.Build
	}
	return fmt.Sprintf("%s (family %s, %s)", strings.TrimSuffix(sentence, "."), c.Family, row)
}
