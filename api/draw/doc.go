// Package draw makes the drawings of pages and sheets: lines, boxes and texts
// with their places, which a page shows as SVG and a sheet prints. What is drawn
// has one ink, so that it is the same in light and dark and on a bad copy: meaning
// is in shapes, strokes and words.
//
// Read the files in this order:
//
//	drawing.go   what a drawing is made of
//	svg.go       a drawing as a picture of a page
//	joins.go     which plug goes where, from the harness through adaptors to the board
//	column.go    the connectors of one column, each with its place
//	connector.go one connector: its pins, its pitch, its name
//	panel.go     the read-back points as they lie on the panel
//	timeline.go  the builds of a model in order of time
//	codemap.go   which point shows which place of the code
package draw
