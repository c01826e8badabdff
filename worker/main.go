// Command worker makes films: it works the queue of a real Redis and keeps its results in a real bucket. Several run
// side by side; one may die at any time.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"syscall"

	"tamis/pkg/settings"
	"tamis/worker/backend"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, os.Args[1:], settings.Environ(), os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "tamis worker:", err)
		os.Exit(1)
	}
}

// run reads the settings, opens store and queue, works until ctx is done, and drains.
func run(ctx context.Context, args, environ []string, stderr io.Writer) error {
	flags := flag.NewFlagSet("worker", flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.Usage = func() {
		fmt.Fprintf(stderr, "usage: worker\n\nWorks the queue of a real Redis. Settings, by environment:\n%s", settings.Help())
	}
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return nil
		}
		return err
	}
	s, err := settings.Read(environ)
	if err != nil {
		return err
	}
	if s.Embedded() {
		return errors.New("TAMIS_REDIS_URL and TAMIS_S3_ENDPOINT are not set: a worker needs a real queue and store " +
			"(go run ./api works its own)")
	}
	log := slog.New(slog.NewJSONHandler(stderr, nil))
	b, err := backend.Open(ctx, s, log)
	if err != nil {
		return err
	}
	log.Info("worker ready", "jobs_at_once", s.Workers)
	return errors.Join(b.Work(ctx), b.Close())
}
