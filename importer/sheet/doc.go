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
// The speed alone would not justify a reader of our own. What does: excelize's
// stream gives a cell either as stored or as displayed, so that a date is a bare
// number or a text in any local order, and it does not say whether a cell was a
// number or text; to ask for a cell's type or style loads the whole sheet. And the
// limits on what is unpacked here, on one row and on the shared texts (mostOfRow,
// mostText, table.Unpack) hold while the sheet is read, without scratch files.
//
// Workbooks of other programs than excelize are read in the tests (writers_test.go): of
// LibreOffice, and of openpyxl and xlsxwriter. OpenDocument spreadsheets (.ods) are not
// read: the libraries for Go that were found decode a document as a whole, which no limit
// on memory survives, and have no releases kept up. LibreOffice converts one:
//
//	soffice --headless --convert-to xlsx table.ods
//
// For writing there is no second way: a column is added to a workbook that keeps
// its formats, widths and other sheets, which only a library that knows all of
// them can do. It holds the workbook as a whole (730 MB for the one above), so it
// has a limit of its own (mostAnnotated); beyond it findings are written as CSV.
package sheet
