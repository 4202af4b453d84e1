package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"

	"github.com/urfave/cli/v3"

	"standin/cmd/standin/tell"
)

// program is what the commands share: where they read and write.
type program struct {
	stdin  io.Reader
	stdout io.Writer
	stderr io.Writer

	answered bool         // something was printed
	log      *slog.Logger // that takes the notes; nil: they go to stderr as they are
}

// Run does what the arguments (the program's name first) ask for and returns
// the exit status. Answers go to stdout, everything else to stderr. Cancelling
// the context ends it cleanly.
func Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	p := &program{stdin: stdin, stdout: stdout, stderr: stderr}
	return p.exit(ctx, p.root().Run(ctx, args))
}

// The help is wrapped as the answers are.
func init() {
	cli.HelpPrinter = func(out io.Writer, template string, data any) {
		cli.HelpPrinterCustom(out, template, data, map[string]any{"wrapAt": func() int { return tell.Width }})
	}
}

// The flags of every command.
const (
	flagDatabase = "database-url"
	flagDataDir  = "data-dir"
	flagJSON     = "json"
)

func (p *program) root() *cli.Command {
	root := &cli.Command{
		Name:  "standin",
		Usage: "which control boards can stand in for the one in an appliance",
		Description: "Exit status: 0 answered, 1 failed (an unknown model too), 2 wrong usage, 3 answered that " +
			"nothing fits, that what is known of the machine contradicts itself, that a reading does " +
			"not tally or that nothing recorded is as read.\n\n" +
			"Without a database URL the program keeps a PostgreSQL of its own in the data " +
			"directory; it needs PostgreSQL's programs installed, 15 or newer.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: flagDatabase, Usage: "PostgreSQL of one's own", Sources: cli.EnvVars("STANDIN_DATABASE_URL")},
			&cli.StringFlag{Name: flagDataDir, Usage: "where its own PostgreSQL lives", Sources: cli.EnvVars("STANDIN_DATA_DIR")},
		},
		Commands: []*cli.Command{
			p.demoCommand(), p.serveCommand(), p.migrateCommand(),
			p.importCommand(), p.mapCommand(), p.undoCommand(), p.importsCommand(), p.historyCommand(),
			p.exportCommand(), p.auditCommand(), p.generateCommand(),
			p.modelsCommand(), p.fitCommand(), p.sheetCommand(), p.boardCommand(), p.familyCommand(),
			p.verifyCommand(), p.identifyCommand(),
			p.tokenCommand(), p.versionCommand(),
		},
		EnableShellCompletion: true,
	}
	p.prepare(root)
	return root
}

// prepare gives a command and those below it what all have in common.
func (p *program) prepare(c *cli.Command) {
	c.Reader, c.Writer, c.ErrWriter = p.stdin, p.stdout, p.stderr
	c.ExitErrHandler = func(context.Context, *cli.Command, error) {} // Run alone decides the status
	c.OnUsageError = func(_ context.Context, c *cli.Command, err error, _ bool) error { return usageOf(c, err) }
	if c.Action == nil {
		c.Action = p.noCommand
	}
	c.Action = p.withProblem(c.Action)
	for _, sub := range c.Commands {
		p.prepare(sub)
	}
}

// noCommand answers where a command was expected: with help where nothing was
// typed, else with the command that may have been meant.
func (p *program) noCommand(ctx context.Context, c *cli.Command) error {
	typed := c.Args().First()
	if typed == "" {
		if c.Root() == c {
			return cli.ShowRootCommandHelp(c)
		}
		return cli.ShowSubcommandHelp(c)
	}
	message := fmt.Sprintf("there is no command %q", c.FullName()+" "+typed)
	if near := cli.SuggestCommand(c.Commands, typed); near != "" {
		message += fmt.Sprintf("; did you mean %q?", c.FullName()+" "+near)
	}
	return &usageError{message}
}

func jsonFlag() cli.Flag {
	return &cli.BoolFlag{Name: flagJSON, Usage: "answer as JSON, for programs"}
}

// print writes an answer.
func (p *program) print(text string) error {
	p.answered = true
	if _, err := io.WriteString(p.stdout, text); err != nil {
		return fmt.Errorf("the answer cannot be written: %w", err)
	}
	return nil
}

// note writes a line for the person at the terminal, not part of an answer.
func (p *program) note(format string, args ...any) {
	if p.log != nil {
		p.log.Info(fmt.Sprintf(format, args...))
		return
	}
	fmt.Fprintf(p.stderr, format+"\n", args...)
}

// complain says why the program ends without having done what was asked.
func (p *program) complain(format string, args ...any) {
	if p.log != nil {
		p.log.Error(fmt.Sprintf(format, args...))
		return
	}
	p.note("standin: "+format, args...)
}
