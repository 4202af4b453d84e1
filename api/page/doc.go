// Package page shows the counter, the answer for a machine, a board, and the
// work at the bench as pages: rendered here, whole without scripts, quicker with
// the one small script in static.
//
// Read the files in this order:
//
//	page.go render.go static.go   what every page has, and how one is sent
//	query.go link.go              what an address asks for; addresses of pages
//	counter.go find.go            the one field, and what was typed in it
//	fits.go fits_*.go stock.go    the answer for a machine: the board on top (fits_best.go), the others, the evidence;
//	                              fits_markup.go says why boards are no template
//	board.go                      a board
//	workbench.go workbench_job.go workbench_stage.go workbench_plugs.go   a job at the bench, one page per stage
//	workbench_points.go workbench_reading.go   what is read back, and whether it tallies
//	workbench_print.go workbench_identify.go   a job to print; what a used board is set for
//	workbench_along.go workbench_copy.go workbench_says.go workbench_note.go   a job taken along, and the fitting noted
//	reference.go                  the HTTP API, from plain values
//	fault.go                      what cannot be answered, as pages that help
//	words.go                      words and figures for people
//
// A page has a folder of templates of its own in template, and a struct with its
// data that embeds base.
package page
