// Command api serves Tamis: artwork and orders in; plans, quotes, films and setup sheets out.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"tamis/pkg/settings"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, os.Args[1:], settings.Environ(), os.Stdout, os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "tamis api:", err)
		os.Exit(1)
	}
}
