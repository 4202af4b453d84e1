package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"syscall"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
	"standin/db"
)

// The exit statuses.
const (
	statusAnswered = 0
	statusFailed   = 1
	statusUsage    = 2
	statusNothing  = 3
)

// errNothingFits is the outcome of a question that was answered with nothing.
var errNothingFits = errors.New("nothing fits")

// usageError is a command line that cannot be understood; its text is a
// sentence that says what would be.
type usageError struct{ message string }

func (e *usageError) Error() string { return e.message }

// misused is a usageError of a command.
func misused(c *cli.Command, format string, args ...any) error {
	return &usageError{fmt.Sprintf(format, args...) + "; see " + c.FullName() + " --help"}
}

// usageOf says in a sentence what the parser has to say.
func usageOf(c *cli.Command, err error) error {
	message := err.Error()
	if name, ok := strings.CutPrefix(message, "flag provided but not defined: -"); ok {
		message = fmt.Sprintf("there is no flag --%s", strings.TrimLeft(name, "-"))
		if near := cli.SuggestFlag(c.Flags, name, false); near != "" {
			message += fmt.Sprintf(" (did you mean %s?)", near)
		}
	} else if name, ok := strings.CutPrefix(message, "flag needs an argument: "); ok {
		message = fmt.Sprintf("--%s needs a value", strings.TrimLeft(name, "-"))
	}
	return misused(c, "%s", message)
}

// exit prints on stderr what went wrong and returns the exit status.
func (p *program) exit(ctx context.Context, err error) int {
	var usage *usageError
	var help cli.ExitCoder
	var stopped *stoppedError
	switch {
	case err == nil:
		return statusAnswered
	case errors.Is(err, errNothingFits), errors.Is(err, errDoesNotTally), errors.Is(err, errNothingAsRead):
		return statusNothing
	case errors.Is(err, syscall.EPIPE): // whoever read the answer has had enough
		return statusFailed
	case errors.As(err, &usage):
		p.complain("%s", usage.message)
		return statusUsage
	case errors.As(err, &help): // of the parser's own help command
		p.complain("%s", help.Error())
		return statusUsage
	case errors.As(err, &stopped):
		p.complain("%s", stopped.message)
		return statusFailed
	case ctx.Err() != nil:
		p.complain("stopped before it was done")
		return statusFailed
	}
	p.complain("%s", said(err))
	var known *standin.Error
	if !errors.As(err, &known) {
		return statusFailed
	}
	fmt.Fprint(p.stderr, tell.Unknown(known.Nearest))
	switch known.Code {
	case standin.CodeBadRequest:
		return statusUsage
	case standin.CodeDoesNotFit, standin.CodeUnsettled:
		return statusNothing
	}
	return statusFailed
}

// said is one sentence for people about any error: never a driver's own words.
func said(err error) string {
	var known *standin.Error
	if errors.As(err, &known) {
		return known.Message
	}
	if sentence, ok := db.Explain(err); ok {
		return sentence
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return "the connection to the database broke off; try again, and see the database's log where it happens again"
	}
	if cutOff(err) {
		return "the database cannot be reached; check that it runs and that --" + flagDatabase + " names it"
	}
	first, _, _ := strings.Cut(err.Error(), "\n")
	return first
}

// cutOff reports whether the way to the database failed.
func cutOff(err error) bool {
	var network *net.OpError
	var resolve *net.DNSError
	return errors.As(err, &network) || errors.As(err, &resolve) || errors.Is(err, context.DeadlineExceeded)
}
