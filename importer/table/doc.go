// Package table is what the packages of an import have in common: a table with
// its rows, wherever they come from, and what is found wrong with them.
//
//	table.go               a table, its rows, and how its text was understood
//	fault.go findings.go   what is wrong, and what is found at which place
//	place.go               rows and columns by their numbers and letters
//	text.go                white space, what a message quotes
//	limits.go              how much a hostile file may cost
//
// It reads no format itself: the parent package reads CSV files, package sheet
// workbooks, and package mapping makes tables of a bundle of a supplier's table.
package table
