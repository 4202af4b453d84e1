package bundle

import (
	"fmt"

	"standin"
)

// A table need not have every column of its file. What it does not say leaves alone
// what is stored: compare fills the cells of absent columns in from there, so that
// all later steps see each row as it will be. The importer cannot check what is
// filled in against the rest of its row; check_filled.go does.

// bitOf returns the bit that stands for columns of a file in its stage's column
// absent. A key column has none: absent, it is empty.
func bitOf(f standin.File, columns ...string) int64 {
	bits := int64(0)
	for i, c := range f.Columns {
		for _, name := range columns {
			if c.Name == name && !c.Key {
				bits |= 1 << i
			}
		}
	}
	return bits
}

// bitsOf is bitOf for a file by its name.
func bitsOf(file string, columns ...string) int64 {
	f, _ := standin.FileNamed(file)
	return bitOf(f, columns...)
}

// filledIn returns the columns of the staged rows s, absent ones from the stored rows
// b. Absent are those that some row does not have.
func filledIn(f standin.File, absent int64) []string {
	columns := make([]string, len(f.Columns))
	for i, c := range f.Columns {
		columns[i] = qualified("s", c.Name)
		if bit := bitOf(f, c.Name); absent&bit != 0 {
			columns[i] = fmt.Sprintf("CASE WHEN s.absent & %d <> 0 THEN %s ELSE %s END", bit, qualified("b", c.Name), columns[i])
		}
	}
	return columns
}
