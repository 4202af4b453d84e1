package bundle

import (
	"context"
	"fmt"

	"standin"
)

// ofAudited says which rows of a file are under review in an audit of one family:
// itself, its configurations, the builds of their models, the headers of its boards. What
// belongs to no family is left out.
var ofAudited = map[string]string{
	"families":       "b.family IN (SELECT family FROM audited)",
	"configurations": "b.family IN (SELECT family FROM audited)",
	"builds":         "(b.brand, b.model, b.variant) IN (SELECT c.brand, c.model, c.variant FROM bundle.configurations c JOIN audited USING (family))",
	"layouts":        "b.layout IN (SELECT r.layout FROM bundle.revisions r JOIN bundle.boards USING (part_number) JOIN audited USING (family))",
}

// Audit finds what is odd about what is stored, of one family or, where that is
// empty, of all: the warnings of an import, without lines. It returns at most limit
// findings, and how many there are in all. A family that does not exist is an error
// (CodeNotFound).
func (s *Store) Audit(ctx context.Context, family string, limit int) (found []standin.Finding, total int, err error) {
	snap, err := s.openSnapshot(ctx, family)
	if err != nil {
		return nil, 0, err
	}
	defer snap.close(ctx)
	snap.define(storedAsNext(family))
	in := &inspection{work: snap.work, reviews: func(string) bool { return true }}
	if found, total, err = in.warnings(ctx, limit); err != nil {
		return nil, 0, err
	}
	failing, err := snap.failingReadings(ctx, family)
	found = append(found, failing[:min(len(failing), max(0, limit-len(found)))]...)
	return found, total + len(failing), err
}

// storedAsNext returns the subqueries next_<file> over what is stored, where an
// import has views. A row under review has the place -1: it is in no bundle.
func storedAsNext(family string) []string {
	named := []string{"audited AS NOT MATERIALIZED (SELECT " + theFamily + " AS family)"}
	for _, f := range standin.Files {
		place := "-1::bigint"
		if family != "" {
			place = "NULL::bigint"
			if of, ok := ofAudited[f.Name]; ok {
				place = "CASE WHEN " + of + " THEN -1::bigint END"
			}
		}
		named = append(named, fmt.Sprintf("%s AS NOT MATERIALIZED (%s)", nextOf(f), storedRows(f, place)))
	}
	return named
}
