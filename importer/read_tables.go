package importer

import (
	"context"
	"path/filepath"
	"strings"

	"standin"
	"standin/importer/table"
)

// tables returns the tables of a bundle in the order of standin.Files. A file that is
// not one of these, or is there twice, is a finding.
func (b *bundle) tables(ctx context.Context, other charset) []table.Table {
	if b.mapped {
		if b.supplied == nil {
			return nil // the mapping cannot be read, which is a finding already
		}
		return b.supplied.Tables(ctx, b.lost)
	}
	found := map[string]file{}
	for _, f := range b.files {
		description, ok := f.described()
		first, twice := found[description.Name]
		switch {
		case !ok:
			b.out.Add(f.unknown().In(f.name))
		case twice:
			b.out.Add(table.Unreadable("the bundle has this file twice, %s and %s; leave one out", first.place, f.place).In(f.name))
			b.lost[description.Name] = true
		default:
			found[description.Name] = f
		}
	}
	var all []table.Table
	for _, description := range standin.Files {
		if f, ok := found[description.Name]; ok {
			all = append(all, f.table(description, other))
		}
	}
	if len(all) == 0 && b.out.Errors() == 0 {
		b.out.Add(table.Unreadable("it holds no file of a bundle; the files are %s", table.List(fileNames())).In(b.name))
	}
	return all
}

// described returns the file of a bundle that the name of a file or a sheet means.
func (f file) described() (standin.File, bool) {
	if f.sheet != nil {
		return table.FileOf(f.name + ".csv")
	}
	return table.FileOf(f.name)
}

func (f file) table(description standin.File, other charset) table.Table {
	if f.sheet != nil {
		return table.Table{File: description, Name: f.name, Open: f.sheet.Open}
	}
	return csvTable(f, description, other)
}

func isWorkbook(name string) bool {
	return table.HasEnding(name, ".xlsx") || table.HasEnding(name, ".xlsm")
}

// unknown returns the fault of a file or a sheet that is none of a bundle's.
func (f file) unknown() *table.Fault {
	stem := strings.TrimSuffix(f.name, filepath.Ext(f.name))
	if f.sheet != nil {
		return unknownFile("the sheet is not read: a bundle has no file of this name", f.name, "")
	}
	for _, ending := range []string{".xls", ".xlsb", ".ods"} {
		if table.HasEnding(f.name, ending) {
			return table.Unreadable("it is a spreadsheet of a kind that is not read (%s); save it as .xlsx", ending)
		}
	}
	return unknownFile("the file is not read: a bundle has no file of this name", stem, ".csv")
}

func unknownFile(message, stem, ending string) *table.Fault {
	f := &table.Fault{Code: standin.UnknownFile, Message: message}
	var stems []string
	for _, file := range standin.Files {
		stems = append(stems, file.Name)
	}
	if near := standin.NearestName(table.Normal(stem), stems); near != "" {
		f.Correction = near + ending
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
