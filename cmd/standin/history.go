package main

import (
	"context"
	"strings"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
)

func (p *program) historyCommand() *cli.Command {
	return &cli.Command{
		Name: "history", Usage: "what one row is and was, and which imports wrote it",
		ArgsUsage: "FILE KEY…",
		Description: "FILE is a file of a bundle, KEY the values of its key columns in their order; empty ones " +
			"at the end may be left out, others are written as \"\". For example:\n\n" +
			"standin history builds Corvane \"DW 640\" \"\" b2",
		Flags:  []cli.Flag{jsonFlag()},
		Action: p.history,
	}
}

func (p *program) history(ctx context.Context, c *cli.Command) error {
	file, key, err := rowAsked(c)
	if err != nil {
		return err
	}
	return p.with(ctx, c, func(s *session) error {
		h, err := s.History(ctx, file, key)
		if err != nil {
			return err
		}
		return p.show(c.Bool(flagJSON), encodeHistory(h), tell.History(file.Name, h))
	})
}

// rowAsked is the file and the key that the arguments name.
func rowAsked(c *cli.Command) (standin.File, []string, error) {
	args := c.Args().Slice()
	if len(args) == 0 {
		return standin.File{}, nil, misused(c, "name a file of a bundle, and the key of a row")
	}
	file, ok := standin.FileNamed(strings.TrimSuffix(strings.ToLower(args[0]), ".csv"))
	if !ok {
		return file, nil, misused(c, "%q is no file of a bundle; they are %s", args[0], fileNames())
	}
	if len(args) == 1 {
		return file, nil, misused(c, "name the row of %s by its %s", file.Name, strings.Join(file.Keys(), ", "))
	}
	return file, args[1:], nil
}

func fileNames() string {
	var names []string
	for _, f := range standin.Files {
		names = append(names, f.Name)
	}
	return strings.Join(names, ", ")
}

// The JSON of a history. Fields may be added, never renamed.
type (
	historyJSON struct {
		Now     map[string]string `json:"now"` // null where the row is not there
		Changes []pastChangeJSON  `json:"changes"`
	}
	pastChangeJSON struct {
		Import importJSON `json:"import"`
		changeJSON
	}
)

func encodeHistory(h standin.History) historyJSON {
	var now map[string]string
	if h.Now != nil {
		now = map[string]string{}
		for _, f := range h.Now {
			now[f.Column] = f.Value
		}
	}
	return historyJSON{now, each(h.Changes, func(c standin.PastChange) pastChangeJSON {
		return pastChangeJSON{encodeImport(c.Import), encodeChange(c.Change)}
	})}
}
