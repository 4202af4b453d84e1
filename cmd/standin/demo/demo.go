// Package demo holds the catalogue that standin demo answers from. Its brands,
// models and part numbers are invented.
package demo

import "embed"

// Bundle is the catalogue: a folder named BundleDir of CSV files.
//
//go:embed bundle/*.csv
var Bundle embed.FS

// BundleDir is the folder of Bundle that the CSV files lie in.
const BundleDir = "bundle"
