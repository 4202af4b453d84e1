// Package importer brings bundles into the catalogue: files become rows with
// their places, rows become findings and staged rows, and a store compares and
// commits them. Read it in the order of the way a bundle takes:
//
//	paths.go archive.go        what the paths hold: folders, zips, single files
//	table.go csv.go            a file as a table: a header and rows with their lines
//	encoding.go delimiter.go   how the text of a CSV file is to be read
//	header.go intake.go        columns found in the header, rows parsed and passed on
//	cell.go number.go date.go gtin.go serial.go enum.go      what a cell may hold
//	rules.go code.go shape.go  what the cells of one row must be to each other
//	findings.go report.go      what is said about it
//	run.go                     the whole way, in one transaction
//
// What takes the whole catalogue to see (duplicate keys, references, overlaps,
// circles) is the store's to find.
package importer
