// Package importertest has what the tests of the import share: bundles and
// workbooks as files, stores in memory, and cases written as plain text. Only
// tests import it.
package importertest
