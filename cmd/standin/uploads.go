package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"

	"github.com/urfave/cli/v3"

	"standin/api"
	"standin/db/uploads"
	"standin/importer/intake"
)

// uploadsOf is how bundles are taken in by a command line. What is 0 is left to the
// intake.
func uploadsOf(c *cli.Command) intake.Config {
	return intake.Config{
		Dir: cmp.Or(c.String(flagUploadDir), defaultUploadDir()), MostBytes: int64(c.Int(flagUploadLimit)) << 20, Most: c.Int(flagUploadQueue),
	}
}

func defaultUploadDir() string {
	return filepath.Join(os.TempDir(), fmt.Sprintf("standin-uploads-%d", os.Getuid()))
}

// takeIn has an API take bundles in, until what it returns is called. Where no folder
// was named and there is none for temporary files, as in a bare container, it does
// without.
func (s *session) takeIn(bundles intake.Config, config *api.Config) (stop func() error, err error) {
	bundles.Catalogue, bundles.Uploads, bundles.Known, bundles.Log = s.Store, uploads.NewStore(s.DB), s.DB, config.Log
	in, err := intake.New(bundles)
	if err != nil && bundles.Dir == defaultUploadDir() {
		config.Log.Warn("no bundles are taken in over HTTP; name a folder with --"+flagUploadDir, "error", err)
		return func() error { return nil }, nil
	}
	if err != nil {
		return nil, err
	}
	config.Intake, config.Measured = in, append(config.Measured, in)
	return in.Close, nil
}
