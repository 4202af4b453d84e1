package importer

import (
	"slices"

	"standin"
	"standin/importer/table"
)

// refersTo are the files that a reference in a column may lead to.
var refersTo = map[string][]string{
	"source":      {"sources"},
	"procedure":   {"procedures"},
	"family":      {"families"},
	"layout":      {"layouts"},
	"takes":       {"layouts"},
	"gives":       {"layouts"},
	"part_number": {"boards", "adaptors"},
	"old_part":    {"boards", "adaptors"},
	"new_part":    {"boards", "adaptors"},
	"revision":    {"revisions", "boards"},
	"serial_rule": {"serial_rules"},
	"brand":       {"models", "twins"},
	"model":       {"models", "twins"},
	"variant":     {"models", "twins"},
	"of_brand":    {"models", "twins"},
	"of_model":    {"models", "twins"},
	"of_variant":  {"models", "twins"},
	"build":       {"builds", "models"},
}

// withoutFollowUps leaves out references that are unknown only because a file
// they may lead to could not be read. Otherwise they would bury the one finding
// that matters, about the file itself.
func withoutFollowUps(all []standin.Finding, lost map[string]bool) []standin.Finding {
	return slices.DeleteFunc(all, func(f standin.Finding) bool {
		return (f.Code == standin.UnknownReference || f.Code == standin.UnknownStock) &&
			slices.ContainsFunc(refersTo[f.Column], func(file string) bool { return lost[file] })
	})
}

// ofOrigin returns the findings of the store, those about derived tables as
// findings about the tables they are derived from, each once.
func ofOrigin(tables []table.Table, all []standin.Finding) []standin.Finding {
	var kept []standin.Finding
	for _, x := range all {
		isNew := true
		for _, t := range tables {
			if t.Name == x.File && t.Origin != nil {
				x, isNew = t.Origin(x, 0)
				break
			}
		}
		if isNew {
			kept = append(kept, x)
		}
	}
	return kept
}
