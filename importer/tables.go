package importer

import (
	"context"
	"path/filepath"
	"strings"

	"standin"
)

// tables are the tables of a bundle in the order of standin.Files. A file that
// is none, or comes twice, is a finding.
func (b *bundle) tables(ctx context.Context, other charset) []table {
	if b.supplied != nil {
		return b.supplied.tables(ctx, other, b.lost)
	}
	found := map[string]file{}
	for _, f := range b.files {
		description, ok := f.described()
		first, twice := found[description.Name]
		switch {
		case !ok:
			b.out.add(f.unknown().in(f.name))
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
			all = append(all, f.table(description, other))
		}
	}
	if len(all) == 0 && b.out.errors() == 0 {
		b.out.add(unreadable("it holds no file of a bundle; the files are %s", listed(fileNames())).in(b.name))
	}
	return all
}

// described is the bundle file that a file or a sheet is by its name.
func (f file) described() (standin.File, bool) {
	if f.sheet != nil {
		return fileOf(f.name + ".csv")
	}
	return fileOf(f.name)
}

func (f file) table(description standin.File, other charset) table {
	if f.sheet != nil {
		return table{file: description, name: f.name, open: f.sheet.open}
	}
	return csvTable(f, description, other)
}

// fileOf is the bundle file that a file name means; case, spaces and hyphens
// do not count.
func fileOf(name string) (standin.File, bool) {
	if !hasEnding(name, ".csv") {
		return standin.File{}, false
	}
	return standin.FileNamed(normal(strings.TrimSuffix(name, filepath.Ext(name))))
}

func isWorkbook(name string) bool { return hasEnding(name, ".xlsx") || hasEnding(name, ".xlsm") }

// unknown says that a file or a sheet is none of a bundle.
func (f file) unknown() *fault {
	stem := strings.TrimSuffix(f.name, filepath.Ext(f.name))
	if f.sheet != nil {
		return unknownFile("the sheet is not read: a bundle has no file of this name", f.name, "")
	}
	for _, ending := range []string{".xls", ".xlsb", ".ods"} {
		if hasEnding(f.name, ending) {
			return unreadable("it is a spreadsheet of a kind that is not read (%s); save it as .xlsx", ending)
		}
	}
	return unknownFile("the file is not read: a bundle has no file of this name", stem, ".csv")
}

func unknownFile(message, stem, ending string) *fault {
	f := &fault{code: standin.UnknownFile, message: message}
	var stems []string
	for _, file := range standin.Files {
		stems = append(stems, file.Name)
	}
	if near := nearest(normal(stem), stems); near != "" {
		f.correction = near + ending
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
