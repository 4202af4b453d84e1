package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v3"

	"standin"
)

// oneArgument returns the one argument of a command. what names it in the error.
func oneArgument(c *cli.Command, what string) (string, error) {
	if c.Args().Len() != 1 || c.Args().First() == "" {
		return "", misused(c, "give %s, and nothing else", what)
	}
	return c.Args().First(), nil
}

// noArgument returns an error for arguments left over on a command line.
func noArgument(c *cli.Command) error {
	if c.Args().Present() {
		return misused(c, "%q is left over", c.Args().First())
	}
	return nil
}

// readingTyped returns the arguments together as a reading.
func readingTyped(c *cli.Command) (string, error) {
	if reading := strings.Join(c.Args().Slice(), " "); reading != "" {
		return reading, nil
	}
	return "", misused(c, "say what was read, as %s", standin.ReadingForms)
}

// typed returns the text of a flag, trimmed.
func typed(c *cli.Command, flag string) string { return strings.TrimSpace(c.String(flag)) }

// between returns a validator that accepts the whole numbers of a range.
func between(least, most int) func(int) error {
	return func(n int) error {
		if n < least || n > most {
			return fmt.Errorf("%d is not from %d to %d", n, least, most)
		}
		return nil
	}
}
