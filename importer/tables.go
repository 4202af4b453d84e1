package importer

import (
	"path/filepath"
	"strings"

	"standin"
)

// tables are the tables of a bundle in the order of standin.Files. A file that
// is none, or comes twice, is a finding.
func (b *bundle) tables(other charset) []table {
	found := map[string]file{}
	for _, f := range b.files {
		description, ok := fileOf(f.name)
		first, twice := found[description.Name]
		switch {
		case !ok:
			b.out.add(unknownFile(f.name).in(f.name))
		case twice:
			b.out.add(unreadable("the bundle has this file twice, %s and %s; leave one out", first.place, f.place).in(f.name))
			b.lost[description.Name] = true
		default:
			found[description.Name] = f
		}
	}
	var all []table
	for _, description := range standin.Files {
		if f, ok := found[description.Name]; ok {
			all = append(all, csvTable(f, description, other))
		}
	}
	if len(all) == 0 && b.out.errors() == 0 {
		b.out.add(unreadable("it holds no file of a bundle; the files are %s", listed(fileNames())).in(b.name))
	}
	return all
}

// fileOf is the bundle file that a file name means; case, spaces and hyphens
// do not count.
func fileOf(name string) (standin.File, bool) {
	if !hasEnding(name, ".csv") {
		return standin.File{}, false
	}
	return standin.FileNamed(normal(strings.TrimSuffix(name, filepath.Ext(name))))
}

func unknownFile(name string) *fault {
	if hasEnding(name, ".xlsx") || hasEnding(name, ".xls") || hasEnding(name, ".ods") {
		return notRead("it is a spreadsheet; save each sheet as CSV")
	}
	f := notRead("a bundle has no file of this name")
	var stems []string
	for _, file := range standin.Files {
		stems = append(stems, file.Name)
	}
	if near := nearest(normal(strings.TrimSuffix(name, filepath.Ext(name))), stems); near != "" {
		f.correction = near + ".csv"
	}
	return f
}

func fileNames() []string {
	var names []string
	for _, f := range standin.Files {
		names = append(names, f.Name+".csv")
	}
	return names
}
