package importer

import "strings"

// begins are the characters at the beginning of a CSV cell by which a
// spreadsheet takes it for a formula or looks for one behind them (OWASP, CSV
// Injection).
const begins = "=+-@\t\r"

// Defuse is text as a cell of a CSV file that a person may open in a
// spreadsheet: with an apostrophe before what would be run as a formula. Refuse
// undoes it, so text that looks defused already gets one apostrophe more.
func Defuse(text string) string {
	if risky(strings.TrimLeft(text, "'")) {
		return "'" + text
	}
	return text
}

// Refuse is the text that Defuse made safe, live again; any other stays as it is.
func Refuse(cell string) string {
	if strings.HasPrefix(cell, "'") && risky(strings.TrimLeft(cell, "'")) {
		return cell[1:]
	}
	return cell
}

func risky(text string) bool {
	return text != "" && strings.IndexByte(begins, text[0]) >= 0
}
