// Package mapping reads a supplier's own table as the tables of a bundle, by a
// mapping file that says where each column comes from.
//
//	mapping.go mapping_read.go mapping_table.go   the mapping file, read strictly
//	mapping_yaml.go                               … with the lines of what is wrong
//	words.go words.yaml                           the words of the trade in seven languages
//	supplied.go supplied_origin.go                the table, its header, and where a finding belongs
//	shape.go shape_notes.go                       which of its rows are data, and what holds for several
//	derive.go derive_maker.go                     rows of bundle files made of its rows
//	derive_ticks.go derive_crosses.go             what columns that belong together say
//	derive_date.go derive_span.go                 what cells say: dates, spans
//	derive_number.go                              … numbers with units and thousands
//	explain.go                                    the first rows, cell by cell
//	propose.go propose_shape.go                   a mapping proposed: how the table is shaped
//	propose_header.go propose_values.go           … what headers say, what values agree with
//	propose_roles.go                              … what each column is taken for
//	propose_files.go propose_cells.go             … which files that gives, and how cells are read
//	propose_numbers.go propose_yaml.go            … units and decimals; the proposal as text
//
// A caller reads a mapping (Read), says which files or sheets there are
// (Supplied.Choose) and takes the tables (Supplied.Tables) as it takes those of a
// bundle. Findings about derived rows are turned into findings about the
// supplier's rows by Table.Origin. The package opens no file itself: a Source
// brings its rows.
package mapping
