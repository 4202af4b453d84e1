package db

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"sort"
	"strings"

	"standin"
)

// setting is a code with its pattern in one family, and the rows that say so.
type setting struct {
	family, pattern, code string
	rows                  int   // those spoken of
	place                 int64 // the first of them
	alike                 *setting
}

// everySetting has the settings of every family that is spoken of, one family
// after the other.
const everySetting = `SELECT family, pattern, coalesce(array_to_string(code, ' '), '') AS code, count(place), coalesce(min(place), -1)
	FROM next_configurations
	WHERE pattern IS NOT NULL AND family IN (SELECT family FROM next_configurations WHERE place IS NOT NULL)
	GROUP BY 1, 2, 3
	ORDER BY family, length(pattern), pattern COLLATE "C", code`

// warnSamePatterns finds the rows whose pattern no reading tells from that of
// another code of the family. Settings are compared in Go, a family at a time: an
// either in a pattern agrees with anything, which no join can hash.
func (t *importTx) warnSamePatterns(ctx context.Context, limit int) ([]located, int, error) {
	rows, err := t.query(ctx, everySetting)
	if err != nil {
		return nil, 0, translate(err)
	}
	defer rows.Close()
	var found, family []setting
	total := 0
	compare := func() {
		for _, s := range alikeSettings(family) {
			total += s.rows
			found = append(found, s)
		}
		found = firstSettings(found, limit)
		family = family[:0]
	}
	for rows.Next() {
		var s setting
		if err := rows.Scan(&s.family, &s.pattern, &s.code, &s.rows, &s.place); err != nil {
			return nil, 0, translate(err)
		}
		if len(family) > 0 && (family[0].family != s.family || len(family[0].pattern) != len(s.pattern)) {
			compare()
		}
		if len(family) > 0 {
			s.family = family[0].family // one string for all
		}
		family = append(family, s)
	}
	compare()
	if err := rows.Err(); err != nil || total == 0 {
		return nil, 0, translate(err)
	}
	more, _, err := t.run(ctx, rowsOfSettings(found), limit)
	return more, total, err
}

// firstSettings keeps those with the first places: among their rows are the
// first rows of all.
func firstSettings(found []setting, limit int) []setting {
	slices.SortStableFunc(found, func(a, b setting) int { return cmp.Compare(a.place, b.place) })
	return found[:min(len(found), max(1, limit))]
}

// alikeSettings are the settings with rows spoken of that no reading tells from one
// of another code. All are of one family and of one length, in the order of their
// patterns. A pattern that holds for any reading is told of its own rows alone, not
// of every other row of the family.
func alikeSettings(all []setting) []setting {
	silent := func(s setting) bool { return strings.Trim(s.pattern, string(standin.ShowsEither)) == "" }
	telling := all[sort.Search(len(all), func(i int) bool { return !silent(all[i]) }):] // either comes before all else
	var alike []setting
	for _, s := range all {
		if s.rows == 0 {
			continue
		}
		if s.alike = agreeing(telling, &s, 0); s.alike != nil {
			other := *s.alike // not a pointer into memory that is used again
			s.alike = &other
			alike = append(alike, s)
		}
	}
	return alike
}

// agreeing is a setting of another code whose pattern differs from that of s at
// no point from the given one on, nil where there is none. All have the same
// points before that.
func agreeing(all []setting, s *setting, point int) *setting {
	if len(all) == 0 {
		return nil
	}
	if point == len(s.pattern) { // one pattern, in the order of the codes
		for _, other := range []*setting{&all[0], &all[len(all)-1]} {
			if other.code != s.code {
				return other
			}
		}
		return nil
	}
	for _, show := range []byte("-01f") { // in their order
		if s.pattern[point] != show && s.pattern[point] != standin.ShowsEither && show != standin.ShowsEither {
			continue
		}
		from := sort.Search(len(all), func(i int) bool { return all[i].pattern[point] >= show })
		to := sort.Search(len(all), func(i int) bool { return all[i].pattern[point] > show })
		if other := agreeing(all[from:to], s, point+1); other != nil {
			return other
		}
	}
	return nil
}

// rowsOfSettings finds the rows that say the settings.
func rowsOfSettings(found []setting) check {
	var families, patterns, codes, others, otherPatterns []string
	for _, s := range found {
		families, patterns, codes = append(families, s.family), append(patterns, s.pattern), append(codes, s.code)
		others, otherPatterns = append(others, s.alike.code), append(otherPatterns, s.alike.pattern)
	}
	return check{
		sql: `SELECT c.place, ARRAY[c.pattern, s.code, s.other, s.other_pattern, c.family, c.brand, c.model, c.variant] AS cells
			FROM next_configurations c
			JOIN unnest($2::text[], $3::text[], $4::text[], $5::text[], $6::text[]) AS s (family, pattern, code, other, other_pattern)
				ON s.family = c.family AND s.pattern = c.pattern AND s.code = coalesce(array_to_string(c.code, ' '), '')
			WHERE c.place IS NOT NULL`,
		args: []any{families, patterns, codes, others, otherPatterns},
		say: func(_ *importTx, cells []string) standin.Finding {
			f := standin.Finding{Code: standin.SamePattern, Column: "pattern", Value: cells[0],
				Message: fmt.Sprintf("no reading tells the code %s (%s) from the code %s of family %s: both have the pattern %s",
					cells[1], modelText(cells[5:]), cells[2], cells[4], cells[0])}
			if cells[0] != cells[3] {
				f.Message = fmt.Sprintf("no reading tells the code %s (%s) from the code %s of family %s, whose pattern %s differs at no point that counts",
					cells[1], modelText(cells[5:]), cells[2], cells[4], cells[3])
			}
			return f
		},
	}
}
