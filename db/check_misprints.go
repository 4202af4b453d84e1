package db

import (
	"context"
	"fmt"
	"runtime"
	"strings"

	"standin"
)

const familiesSpokenOf = `SELECT family, coalesce(selector, '{}'), coalesce(code_length, 0)::integer, coalesce(readback, '{}')
	FROM next_families WHERE family IN (SELECT family FROM next_configurations WHERE place IS NOT NULL)`

// rowsOfFamilies are all rows of the families that are spoken of, one family
// after the other.
const rowsOfFamilies = `SELECT coalesce(place, -2), family, brand, model, variant, coalesce(build, ''), coalesce(code, '{}'), coalesce(pattern, '')
	FROM next_configurations
	WHERE family IN (SELECT family FROM next_configurations WHERE place IS NOT NULL)
	ORDER BY family, brand, model, variant, build, issue_from NULLS FIRST`

// notSpokenOf is the place of a stored row that nothing is to be said of.
const notSpokenOf = -2

// proofread is a family as it would be, and where its rows stand.
type proofread struct {
	family         *standin.Family
	configurations []standin.Configuration
	places         []int64
}

// warnMisprints finds the rows that are likely misprinted, going by the others of
// their family, and offers for a code without a pattern the one that these make
// expect. It is worked out in Go, several families at once.
func (t *importTx) warnMisprints(ctx context.Context, limit int) ([]located, int, error) {
	families, err := t.familiesSpokenOf(ctx)
	if err != nil {
		return nil, 0, err
	}
	told := &remarks{limit: limit, turns: make(chan struct{}, runtime.GOMAXPROCS(0))}
	err = t.eachFamily(ctx, families, func(p proofread) {
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
		return nil, 0, translate(err)
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

func (t *importTx) familiesSpokenOf(ctx context.Context) (map[string]*standin.Family, error) {
	rows, err := t.query(ctx, familiesSpokenOf)
	if err != nil {
		return nil, translate(err)
	}
	defer rows.Close()
	families := map[string]*standin.Family{}
	for rows.Next() {
		f := &standin.Family{}
		if err := rows.Scan(&f.Name, &f.Selector, &f.CodeLength, &f.Readback); err != nil {
			return nil, translate(err)
		}
		families[f.Name] = f
	}
	return families, translate(rows.Err())
}

// eachFamily reads the rows and hands on a family when it is complete.
func (t *importTx) eachFamily(ctx context.Context, families map[string]*standin.Family, do func(proofread)) error {
	rows, err := t.query(ctx, rowsOfFamilies)
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
		if p.family != nil && p.family.Name != c.Family {
			do(p)
			p = proofread{}
		}
		if p.family = families[c.Family]; p.family != nil { // else an unknown reference, said elsewhere
			p.configurations, p.places = append(p.configurations, c), append(p.places, place)
		}
	}
	if p.family != nil {
		do(p)
	}
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
