package standin

// History is what became of one row of a bundle file.
type History struct {
	Now     []Field      // every column as it is stored; none: the row is not there
	Changes []PastChange // newest first
}

// PastChange is a change of a row and the import that made it.
type PastChange struct {
	Import Import
	Change
}
