// Package sheet reads the sheets of .xlsx workbooks as tables, a row at a time,
// and adds columns to them.
//
//	workbook.go workbook_styles.go workbook_texts.go   the parts of a workbook: sheets, number formats, shared texts
//	rows.go                                            a sheet as a table
//	write.go                                           a workbook written again with columns more
//
// Reading is our own code, over encoding/xml, and writing is excelize's. Both
// were measured (BenchmarkRead, BenchmarkAddColumns: 100,000 rows of ten columns,
// two cores):
//
//	                                   texts inline            texts shared
//	read here                          12,900 rows/s   21 MB   19,400 rows/s   36 MB
//	read by excelize's stream           8,400 rows/s   26 MB    5,900 rows/s   84 MB
//
// The speed would not justify a reader of our own; three things do. excelize's
// stream gives a cell either as stored or as displayed, so a date is a bare
// number or a text in any local order, and neither says whether a cell was a
// number or text: to ask for its type or style loads the whole sheet. It does
// not bound the size of one row or of one shared text, as this package does
// (mostOfRow, mostText). And it neither keeps the texts in one piece of memory nor
// reads them from a part that grows beyond table.Unpack's limits.
//
// For writing there is no second way: a column is added to a workbook that keeps
// its formats, widths and other sheets, which only a library that knows all of
// them can do. It holds the workbook as a whole (730 MB for the one above), so it
// has a limit of its own (mostAnnotated); beyond it findings are written as CSV.
package sheet
