package main

import (
	"context"
	"runtime"
	"runtime/debug"

	"github.com/urfave/cli/v3"
)

// release is set when a release is built: -ldflags "-X main.release=1.2.3".
var release string

func (p *program) versionCommand() *cli.Command {
	return &cli.Command{
		Name: "version", Usage: "which standin this is", Flags: []cli.Flag{jsonFlag()},
		Action: func(_ context.Context, c *cli.Command) error {
			if err := noArgument(c); err != nil {
				return err
			}
			return p.show(c.Bool(flagJSON), map[string]string{"version": version(), "go": runtime.Version()},
				"standin "+version()+", "+runtime.Version()+"\n")
		},
	}
}

// version is the release, else the commit it was built from, else "devel".
func version() string {
	if release != "" {
		return release
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "devel"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return "devel-" + s.Value[:12]
		}
	}
	return "devel"
}
