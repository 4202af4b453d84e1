// Package sheet makes paper: the job sheet that lies beside a machine, and the
// label of a configured board on the shelf. Both are PDF, black on white, and
// the same bytes for the same job.
//
// Read the files in this order:
//
//	sheet.go label.go      what is printed, and in which order
//	flow.go row.go         sections as blocks, set on pages
//	head.go checks.go plugs.go configure.go readback.go   the sections
//	symbol.go              QR and Code 128
//	paper.go words.go      measuring and drawing; words and figures
package sheet
