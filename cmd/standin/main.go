// Command standin answers which control boards can stand in for the one in an
// appliance, on the command line and over HTTP, and keeps the catalogue it
// answers from.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	// A reader that goes away must not end us before the private database is
	// stopped; the write fails instead.
	signal.Ignore(syscall.SIGPIPE)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	status := Run(ctx, os.Args, os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}
