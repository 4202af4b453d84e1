package importer

import (
	"fmt"

	"standin"
	"standin/importer/table"
)

// Report is what became of a bundle.
type Report struct {
	Findings  []standin.Finding  // the first 1,000, errors before warnings; by file, line and column
	Errors    int                // all of them
	Warnings  int                // all of them
	Read      []FileRead         // what was read, in the order of standin.Files
	Files     []standin.FileDiff // what the bundle changes; none where it has an error
	Import    standin.Import     // the import; ID 0 where nothing changed or was committed
	Committed bool
}

// FileRead is one file of a bundle as it was read.
type FileRead = standin.FileRead

// Summary is one sentence on the whole.
func (r *Report) Summary() string {
	found := ""
	if r.Errors+r.Warnings > 0 {
		found = fmt.Sprintf("%s and %s found; ", table.Count(r.Errors, "error"), table.Count(r.Warnings, "warning"))
	}
	added, changed, removed := r.changes()
	changes := fmt.Sprintf("%s added, %d changed, %d removed", table.Count(added, "row"), changed, removed)
	leftOut, has := "", "all of it"
	if n := r.leftOut(); n > 0 {
		leftOut, has = table.Count(n, "line")+" of stock left out; ", "the rest"
	}
	switch {
	case r.Errors > 0:
		return found + "nothing is imported until the errors are corrected."
	case r.Committed && r.Import.ID == 0, !r.Committed && added+changed+removed == 0:
		return found + leftOut + "the catalogue has " + has + " already, nothing changes."
	case r.Committed:
		return fmt.Sprintf("%s%s%s, as import %d.", found, leftOut, changes, r.Import.ID)
	}
	return found + leftOut + changes + " if it is imported; nothing is yet."
}

func (r *Report) changes() (added, changed, removed int) {
	for _, f := range r.Files {
		added, changed, removed = added+f.Added, changed+f.Changed, removed+f.Removed
	}
	return added, changed, removed
}

// leftOut returns how many stock lines were left out on request.
func (r *Report) leftOut() (n int) {
	for _, f := range r.Files {
		n += f.LeftOut
	}
	return n
}
