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
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	status := Run(ctx, os.Args, os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}
