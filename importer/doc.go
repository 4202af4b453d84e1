// Package importer brings bundles into the catalogue: files become rows with
// their places, rows become findings and staged rows, and a store compares and
// commits them. Read it in the order of the way a bundle takes:
//
//	run.go report.go           the whole way, in one transaction, and what became of it
//	paths.go archive.go        what the paths hold: folders, zips, workbooks, single files
//	tables.go table.go         the tables of a bundle: a header, and rows with their lines
//	csv.go encoding.go delimiter.go      a CSV file as a table
//	workbook.go styles.go texts.go sheet.go   a sheet of a workbook as a table
//	header.go intake.go        columns found in the header, rows parsed and passed on
//	cell.go number.go date.go gtin.go    what a cell may hold
//	rules.go code.go shape.go  what the cells of one row must be to each other
//	findings.go followup.go    what is said about it, and what is not
//	text.go near.go            white space, and what was probably meant
//
// A supplier's own table takes a way round before it is a bundle's:
//
//	mapping.go mapping_read.go mapping_yaml.go    the mapping file, read strictly
//	ticks.go localdate.go                         what its cells may say
//	supplied.go mapped.go origin.go               the table, its header, and whose fault a finding is
//	derive.go maker.go                            rows of bundle files made of its rows
//	propose.go propose_words.go propose_yaml.go   a mapping proposed by header and values
//
// And what is found goes back with it:
//
//	annotate.go annotate_csv.go annotate_sheet.go findings_csv.go defuse.go replace.go
//
// What takes the whole catalogue to see (duplicate keys, references, overlaps,
// circles) is the store's to find.
package importer
