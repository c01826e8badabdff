package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"

	"tamis/api/serve"
	"tamis/openapi"
	"tamis/pkg/settings"
	"tamis/worker/backend"
)

// options are the command's flags.
type options struct{ sample, once bool }

// run reads flags and settings, opens store and queue, serves, and drains when ctx is done.
func run(ctx context.Context, args, environ []string, stdout, stderr io.Writer) error {
	opts, err := parseFlags(args, stderr)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	if err != nil {
		return err
	}
	s, err := settings.Read(environ)
	if err != nil {
		return err
	}
	log := slog.New(slog.NewJSONHandler(stderr, &slog.HandlerOptions{Level: level(opts)}))
	b, err := backend.Open(ctx, s, log)
	if err != nil {
		return err
	}
	return errors.Join(serveUntil(ctx, s, b, opts, log, stdout), b.Close())
}

// level keeps the sample's output readable.
func level(o options) slog.Level {
	if o.sample {
		return slog.LevelWarn
	}
	return slog.LevelInfo
}

func parseFlags(args []string, stderr io.Writer) (options, error) {
	var o options
	flags := flag.NewFlagSet("api", flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.BoolVar(&o.sample, "sample", false, "run the sample order through the HTTP interface, then keep serving")
	flags.BoolVar(&o.once, "once", false, "with -sample: exit after the sample, 0 only if every film exists")
	flags.Usage = func() {
		fmt.Fprintln(stderr, "usage: api [-sample [-once]]")
		flags.PrintDefaults()
		fmt.Fprintf(stderr, "\nSettings, by environment:\n%s", settings.Help())
	}
	if err := flags.Parse(args); err != nil {
		return o, err
	}
	if o.once && !o.sample {
		return o, errors.New("-once goes with -sample")
	}
	return o, nil
}

// serveUntil serves and, embedded, works the queue, until ctx is done or, with -sample -once, until the sample is through.
func serveUntil(ctx context.Context, s settings.Settings, b *backend.Backend, o options, log *slog.Logger, stdout io.Writer) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	listener, err := net.Listen("tcp", s.Addr)
	if err != nil {
		return fmt.Errorf("TAMIS_ADDR: %w", err)
	}
	closing := make(chan struct{})
	config := serve.Config{Library: b.Library, Queue: b.Queue, Limits: b.Limits, Tables: b.Tables, Log: log, Closing: closing,
		OpenAPI: openapi.Document}
	server := newServer(serve.New(config), log)
	var group sync.WaitGroup
	faults := make(chan error, 6)
	group.Go(func() { faults <- ignoreClosed(server.Serve(listener)); stop() })
	ops, err := serveOps(s.OpsAddr, serve.Ops(config), log, &group, faults)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	group.Go(func() { faults <- workOrSweep(ctx, s, b); stop() })
	base := "http://" + listener.Addr().String()
	if o.sample {
		group.Go(func() { faults <- sampleThen(ctx, base, s, o, stdout, stop) })
	} else {
		log.Info("serving", "address", base, "embedded", s.Embedded())
	}
	<-ctx.Done()
	close(closing)
	faults <- shutdown(server)
	faults <- shutdown(ops)
	group.Wait()
	close(faults)
	var all []error
	for err := range faults {
		all = append(all, err)
	}
	return errors.Join(all...)
}

// newServer bounds how long a caller may dally with a call's head, and leaves bodies and streams their time.
func newServer(h http.Handler, log *slog.Logger) *http.Server {
	return &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute,
		ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn)}
}

// serveOps serves health on an address of its own; "" serves nothing.
func serveOps(addr string, h http.Handler, log *slog.Logger, group *sync.WaitGroup, faults chan<- error) (*http.Server, error) {
	server := newServer(h, log)
	if addr == "" {
		return server, nil
	}
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("TAMIS_OPS_ADDR: %w", err)
	}
	group.Go(func() { faults <- ignoreClosed(server.Serve(listener)) })
	return server, nil
}

// workOrSweep works the queue when it is embedded; beside real workers the API only sweeps.
func workOrSweep(ctx context.Context, s settings.Settings, b *backend.Backend) error {
	if s.Embedded() {
		return b.Work(ctx)
	}
	b.Queue.RunSweeper(ctx)
	return nil
}

func sampleThen(ctx context.Context, base string, s settings.Settings, o options, stdout io.Writer, stop func()) error {
	err := runSample(ctx, base, s.Data, stdout)
	if o.once || err != nil {
		stop()
	}
	return err
}

func ignoreClosed(err error) error {
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// drainFor is how long calls under way may take once the server stops.
const drainFor = 15 * time.Second

func shutdown(server *http.Server) error {
	ctx, cancel := context.WithTimeout(context.Background(), drainFor)
	defer cancel()
	return server.Shutdown(ctx)
}
