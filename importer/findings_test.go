package importer_test

import (
	"path/filepath"
	"testing"

	"standin/importer"
	"standin/importer/importertest"
)

// TestFindings runs the cases of testdata/findings: the valid bundle with
// something broken, and what is then found. A case is a block of lines:
//
//	# what is broken
//	change FILE: OLD -> NEW     the first OLD in the file becomes NEW
//	append FILE: LINE           a line more
//	file FILE: TEXT             the file as a whole
//	without FILE                the file is not there
//	error FILE:LINE COLUMN CODE: MESSAGE => CORRECTION     what is found, one a line
//
// In all of them \n, \r, \t and \xNN stand for those characters.
func TestFindings(t *testing.T) {
	t.Parallel()
	paths, err := filepath.Glob("testdata/findings/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			importertest.Golden(t, path, func(edits []string) *importer.Report {
				bundle := importertest.ValidBundle(t)
				for _, line := range edits {
					importertest.Edit(t, bundle, line)
				}
				return importertest.RunBundle(t, &importertest.Store{}, bundle)
			})
		})
	}
}
