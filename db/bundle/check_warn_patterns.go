package bundle

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"slices"
	"sort"
	"strings"

	"standin"
	"standin/db/internal/pg"
)

// setting is a code with its pattern in one family, and how many rows have it. All
// settings of the largest family are in memory at once.
type setting struct {
	pattern, code string
	place         int64 // of the first row under review
	rows          int32 // under review
}

// likeness is a setting with rows under review, and one with another code of the
// same family that no reading distinguishes from it.
type likeness struct {
	family         string
	setting, other setting
}

// settingsSQL selects the settings of every family with rows under review, one family
// after the other.
const settingsSQL = `SELECT family, pattern, coalesce(array_to_string(code, ' '), '') AS code, count(place), coalesce(min(place), -1)
	FROM next_configurations
	WHERE pattern IS NOT NULL AND family IN (SELECT family FROM next_configurations WHERE place IS NOT NULL)
	GROUP BY 1, 2, 3
	ORDER BY family, length(pattern), pattern COLLATE "C", code`

// warnSamePatterns finds the rows whose pattern no reading distinguishes from that
// of another code of the family. They are compared in Go, one family at a time: an
// either in a pattern agrees with anything, which no hash join can do.
func (in *inspection) warnSamePatterns(ctx context.Context, limit int) ([]located, int, error) {
	rows, err := in.query(ctx, settingsSQL)
	if err != nil {
		return nil, 0, pg.Translate(err)
	}
	defer rows.Close()
	var found []likeness
	var family string
	var settings []setting // of the family that have the same number of points
	total := 0
	compare := func() {
		for s, other := range likenesses(settings) {
			total += int(s.rows)
			if found = append(found, likeness{family, *s, *other}); len(found) > 2*limit {
				found = firstLikenesses(found, limit)
			}
		}
		settings = settings[:0]
	}
	for rows.Next() {
		var next string
		var s setting
		if err := rows.Scan(&next, &s.pattern, &s.code, &s.rows, &s.place); err != nil {
			return nil, 0, pg.Translate(err)
		}
		if len(settings) > 0 && (family != next || len(settings[0].pattern) != len(s.pattern)) {
			compare()
		}
		family, settings = next, append(settings, s)
	}
	compare()
	if err := rows.Err(); err != nil || total == 0 {
		return nil, 0, pg.Translate(err)
	}
	more, _, err := in.run(ctx, rowsOfLikenesses(firstLikenesses(found, limit)), limit)
	return more, total, err
}

// firstLikenesses keeps the limit likenesses with the first places, which include
// the first limit rows.
func firstLikenesses(found []likeness, limit int) []likeness {
	slices.SortStableFunc(found, func(a, b likeness) int { return cmp.Compare(a.setting.place, b.setting.place) })
	return found[:min(len(found), max(1, limit))]
}

// likenesses returns the settings with rows under review that no reading
// distinguishes from one with another code, each with one of those. All must be of
// one family and one length, in the order of their patterns. A pattern that holds
// for any reading is reported for its own rows alone, not for every other row of
// the family.
func likenesses(all []setting) iter.Seq2[*setting, *setting] {
	silent := func(s *setting) bool { return strings.Trim(s.pattern, string(standin.ShowsEither)) == "" }
	definite := all[sort.Search(len(all), func(i int) bool { return !silent(&all[i]) }):] // either sorts before everything else
	return func(yield func(s, other *setting) bool) {
		for i := range all {
			if all[i].rows == 0 {
				continue
			}
			if other := agreeing(definite, &all[i], 0); other != nil && !yield(&all[i], other) {
				return
			}
		}
	}
}

// agreeing returns a setting with another code whose pattern differs from that of s
// at no point from the given one on, nil where there is none. All must be equal
// before that point.
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

// rowsOfLikenesses finds the rows that have the settings.
func rowsOfLikenesses(found []likeness) check {
	var families, patterns, codes, others, otherPatterns []string
	for _, l := range found {
		families, patterns, codes = append(families, l.family), append(patterns, l.setting.pattern), append(codes, l.setting.code)
		others, otherPatterns = append(others, l.other.code), append(otherPatterns, l.other.pattern)
	}
	return check{
		sql: `SELECT c.place, ARRAY[c.pattern, s.code, s.other, s.other_pattern, c.family, c.brand, c.model, c.variant] AS cells
			FROM next_configurations c
			JOIN unnest($2::text[], $3::text[], $4::text[], $5::text[], $6::text[]) AS s (family, pattern, code, other, other_pattern)
				ON s.family = c.family AND s.pattern = c.pattern AND s.code = coalesce(array_to_string(c.code, ' '), '')
			WHERE c.place IS NOT NULL`,
		args: []any{families, patterns, codes, others, otherPatterns},
		say: func(_ *inspection, cells []string) standin.Finding {
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
