// Package importer brings bundles into the catalogue: files become rows with
// their places, rows become findings and staged rows, and a store compares and
// commits them. Read it in the order in which a bundle passes through:
//
//	run.go run_progress.go run_report.go   the whole way, in one transaction, and its outcome
//	read_paths.go read_zip.go              what the paths hold: folders, zips, workbooks, single files
//	read_tables.go                         the tables of a bundle among them
//	read_csv.go read_encoding.go read_delimiter.go   a CSV file as a table
//	read_supplied.go propose.go            a supplier's table with its mapping, and a mapping proposed
//	check_header.go check_row.go           columns found in the header, rows parsed and passed on
//	cell.go cell_number.go cell_date.go cell_gtin.go   what a cell may hold
//	check_rules.go check_code.go           what the cells of one row must be to each other
//	check_followup.go                      findings that only follow from others
//	write_annotated.go write_annotated_csv.go write_findings.go   findings for whoever made the table
//	write_bundle.go write_file.go          a bundle written, files replaced whole
//
// Four packages below it:
//
//	table         what all have in common: tables, rows, faults, findings, limits
//	sheet         the sheets of a workbook as tables
//	mapping       a supplier's table as the tables of a bundle
//	generate      invented catalogues of any size; importertest helps tests
//
// What takes the whole catalogue to see (duplicate keys, references, overlaps,
// circles) is the store's to find.
package importer
