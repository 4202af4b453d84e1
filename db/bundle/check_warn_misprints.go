package bundle

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"

	"github.com/jackc/pgx/v5"

	"standin"
	"standin/db/internal/pg"
)

// mostProofread is how many rows of a family are compared with each other at most.
// A larger family is read in parts, each a sample of the whole, so that memory does
// not grow with it: so many rows tell as much of a family as more would.
const mostProofread = 5_000

// mostAtOnce is how many families or parts are proof-read concurrently; each takes
// about 5 MB. mostAhead is how many rows may wait for that: some 20 MB.
const (
	mostAtOnce = 4
	mostAhead  = 50_000
)

// reviewedFamiliesSQL selects the families with rows under review, and how many rows
// each has in all.
const reviewedFamiliesSQL = `SELECT family, coalesce(f.selector, '{}'), coalesce(f.code_length, 0)::integer, coalesce(f.readback, '{}'),
		coalesce(array_to_string(f.alphabet, ' '), ''), coalesce(f.method, ''), n.rows
	FROM next_families f
	JOIN (SELECT family, count(*) AS rows FROM next_configurations GROUP BY family HAVING count(place) > 0) n USING (family)`

// reviewedRowsSQL selects all rows of the families with rows under review, one
// family after the other, the rows of each in a shuffled order that is always the
// same.
const reviewedRowsSQL = `SELECT coalesce(place, -2), family, brand, model, variant, coalesce(build, ''), coalesce(code, '{}'), coalesce(pattern, '')
	FROM next_configurations
	WHERE family IN (SELECT family FROM next_configurations WHERE place IS NOT NULL)
	ORDER BY family, hashtextextended(concat_ws('|', brand, model, variant, build, issue_from), 0), brand, model, variant, build, issue_from NULLS FIRST`

// notReviewed is the place of a row that is not under review.
const notReviewed = -2

// reviewedFamily is a family as it would be, and how many rows it has.
type reviewedFamily struct {
	standin.Family
	rows int
}

// part is how many rows one part of the family has at most: parts are of equal size.
func (f *reviewedFamily) part() int {
	parts := (f.rows + mostProofread - 1) / mostProofread
	return (f.rows + parts - 1) / parts
}

// proofread is a family, rows of it or all, and where they stand.
type proofread struct {
	family         *standin.Family
	configurations []standin.Configuration
	places         []int64
}

// proofreading finds the rows that are likely misprinted, going by the others of
// their family, and for a code without a pattern offers the one that the others
// suggest. It is worked out in Go, several families concurrently, and reads ahead
// while the database is asked other things.
type proofreading struct {
	in       *inspection
	families map[string]*reviewedFamily
	next     proofread // being read
	found    *remarks
	read     bool // all of it
}

// beginProofreading opens the cursor from which the rows are read.
func (in *inspection) beginProofreading(ctx context.Context, limit int) (*proofreading, error) {
	families, err := in.reviewedFamilies(ctx)
	if err != nil {
		return nil, err
	}
	if err := in.exec(ctx, "SET LOCAL cursor_tuple_fraction = 1; DECLARE reviewed_rows NO SCROLL CURSOR FOR "+in.with+reviewedRowsSQL); err != nil {
		return nil, err
	}
	return &proofreading{in: in, families: families, found: newRemarks(limit)}, nil
}

// readAhead reads rows while not too many wait. A nil proofreading reads nothing.
func (p *proofreading) readAhead(ctx context.Context) error {
	for p != nil && !p.read && p.found.waiting.Load() < mostAhead {
		if err := p.readSome(ctx); err != nil {
			return err
		}
	}
	return nil
}

// finish reads what is left and returns the findings, and how many there are.
func (p *proofreading) finish(ctx context.Context) ([]located, int, error) {
	for !p.read {
		if err := p.readAhead(ctx); err != nil {
			return nil, 0, err
		}
		if !p.read {
			p.found.collect()
		}
	}
	p.found.wait()
	if err := ctx.Err(); err != nil {
		return nil, 0, pg.Translate(err)
	}
	return p.found.found, p.found.total, p.in.exec(ctx, "CLOSE reviewed_rows")
}

// remarks collects the findings about families, which are worked out concurrently,
// in the order of the families. It keeps the first limit of them and counts all.
type remarks struct {
	limit   int
	turns   chan struct{}    // holds one value per family under way
	waiting atomic.Int64     // rows whose findings are not worked out yet
	open    []chan []located // those not collected yet, in order
	found   []located
	total   int
}

func newRemarks(limit int) *remarks {
	return &remarks{limit: limit, turns: make(chan struct{}, min(mostAtOnce, runtime.GOMAXPROCS(0)))}
}

// add has the findings about so many rows worked out when it is their turn.
func (r *remarks) add(rows int, find func() []located) {
	result := make(chan []located, 1)
	r.open = append(r.open, result)
	r.waiting.Add(int64(rows))
	go func() {
		r.turns <- struct{}{}
		result <- find()
		<-r.turns
		r.waiting.Add(-int64(rows))
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

// collect waits for the first family under way and takes its findings.
func (r *remarks) collect() {
	if len(r.open) == 0 {
		return
	}
	more := <-r.open[0]
	r.open = r.open[1:]
	r.found, r.total = firstByPlace(append(r.found, more...), r.limit), r.total+len(more)
}

func (in *inspection) reviewedFamilies(ctx context.Context) (map[string]*reviewedFamily, error) {
	rows, err := in.query(ctx, reviewedFamiliesSQL)
	if err != nil {
		return nil, pg.Translate(err)
	}
	defer rows.Close()
	families := map[string]*reviewedFamily{}
	for rows.Next() {
		f := &reviewedFamily{}
		var alphabet string
		if err := rows.Scan(&f.Name, &f.Selector, &f.CodeLength, &f.Readback, &alphabet, &f.Method, &f.rows); err != nil {
			return nil, pg.Translate(err)
		}
		if pg.ReadAlphabet(&f.Family, alphabet) != nil {
			continue // a finding of its own
		}
		families[f.Name] = f
	}
	return families, pg.Translate(rows.Err())
}

// readSome reads the next rows, and hands on a family, or a part of a large one, when
// it is complete.
func (p *proofreading) readSome(ctx context.Context) error {
	rows, err := p.in.tx.Query(ctx, fmt.Sprintf("FETCH %d FROM reviewed_rows", mostProofread), pgx.QueryExecModeExec)
	if err != nil {
		return pg.Translate(err)
	}
	defer rows.Close()
	p.read = true
	for rows.Next() {
		p.read = false
		var c standin.Configuration
		var place int64
		if err := rows.Scan(&place, &c.Family, &c.Model.Brand, &c.Model.Model, &c.Model.Variant, &c.Build, &c.Code, &c.Pattern); err != nil {
			return pg.Translate(err)
		}
		f := p.families[c.Family]
		if f == nil {
			continue // unknown, or with an alphabet that cannot be read: a finding of its own
		}
		if p.next.family != &f.Family || len(p.next.places) == f.part() {
			p.handOn(ctx, p.next)
			p.next = proofread{family: &f.Family}
		}
		p.next.configurations, p.next.places = append(p.next.configurations, c), append(p.next.places, place)
	}
	if p.read {
		p.handOn(ctx, p.next)
	}
	return pg.Translate(rows.Err())
}

// handOn has a part proof-read, unless none of it is under review.
func (p *proofreading) handOn(ctx context.Context, part proofread) {
	if !slices.ContainsFunc(part.places, func(place int64) bool { return place != notReviewed }) {
		return
	}
	p.found.add(len(part.places), func() []located {
		if ctx.Err() != nil {
			return nil
		}
		return part.remarks()
	})
}

// remarks are the findings about the rows under review.
func (p *proofread) remarks() []located {
	table := standin.NewTable(p.family, p.configurations)
	var found []located
	for _, m := range table.Misprints() {
		if p.places[m.Index] != notReviewed {
			found = append(found, located{place: p.places[m.Index], finding: misprintFinding(&m)})
		}
	}
	return append(found, p.predicted(table)...)
}

func misprintFinding(m *standin.Misprint) standin.Finding {
	c := &m.Configuration
	f := standin.Finding{Code: standin.LikelyMisprint, Column: "pattern", Value: string(c.Pattern), Message: sentenceAbout(c, m.Text)}
	if len(m.Corrections) == 0 {
		return f
	}
	likeliest := m.Corrections[0]
	correction := string(likeliest.Pattern)
	if likeliest.Column == "code" {
		f.Column, f.Value, correction = "code", strings.Join(c.Code, " "), strings.Join(likeliest.Code, " ")
	}
	if m.Sure >= offerCorrection {
		f.Correction = correction
	}
	return f
}

// offerCorrection is how sure a correction must be to be offered as such, and not only
// named in the sentence.
const offerCorrection = 0.9

// predicted offers patterns for codes without one, where the code map knows
// every point.
func (p *proofread) predicted(table *standin.Table) []located {
	var found []located
	var codeMap *standin.CodeMap
	for i := range p.configurations {
		c := &p.configurations[i]
		if c.Pattern != "" || p.places[i] == notReviewed || p.family.CodeLength == 0 || len(p.family.Readback) == 0 {
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
			Message: sentenceAbout(c, fmt.Sprintf("no pattern is recorded for the code %s; going by the other codes it would be %s: predicted, so read a board back before it is recorded",
				strings.Join(c.Code, " "), pattern)),
		}})
	}
	return found
}

// sentenceAbout is a sentence with the row that it is about.
func sentenceAbout(c *standin.Configuration, sentence string) string {
	row := c.Model.String()
	if c.Build != "" {
		row += ", build " + c.Build
	}
	return fmt.Sprintf("%s (family %s, %s)", strings.TrimSuffix(sentence, "."), c.Family, row)
}
