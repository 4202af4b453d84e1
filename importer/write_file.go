package importer

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// begins are the characters at the beginning of a CSV cell for which a spreadsheet
// takes the cell for a formula (OWASP, CSV Injection).
const begins = "=+-@\t\r"

// Defuse returns text as a cell of a CSV file that can safely be opened in a
// spreadsheet: with an apostrophe before what would be run as a formula. Refuse
// undoes it, so text that already looks defused gets another apostrophe.
func Defuse(text string) string {
	if risky(strings.TrimLeft(text, "'")) {
		return "'" + text
	}
	return text
}

// Refuse undoes Defuse; other text it returns as it is.
func Refuse(cell string) string {
	if strings.HasPrefix(cell, "'") && risky(strings.TrimLeft(cell, "'")) {
		return cell[1:]
	}
	return cell
}

func risky(text string) bool {
	return text != "" && strings.IndexByte(begins, text[0]) >= 0
}

// ReplaceFile writes a file whole or not at all. The error is the system's, or
// what write returned.
func ReplaceFile(path string, write func(io.Writer) error) (err error) {
	file, err := os.CreateTemp(filepath.Dir(path), ".standin-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(file.Name())
		}
	}()
	err = write(file)
	if err == nil {
		err = file.Chmod(0o644) // as any file that a person makes
	}
	if err = errors.Join(err, file.Close()); err != nil {
		return err
	}
	return os.Rename(file.Name(), path)
}
