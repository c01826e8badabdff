// Command bench measures Tamis against general-purpose yardsticks, on pictures of its own:
//
//	go run ./deploy/bench film            the table of films, against Ghostscript
//	go run ./deploy/bench quotes          quotes a second, against a handler that only decodes and encodes
//	go run ./deploy/bench -pairs 3 film   fewer runs
//
// Every figure of a film is that of a whole process, started anew each time: wall time, CPU time and peak memory as the
// kernel counts them; of a service the wall time from upload to the job's end. Runs alternate, so that whatever else the
// machine does falls on both sides, and medians are shown.
// Files lie in a folder in memory where there is one. Ghostscript takes the nearest source pixel and one core; Tamis
// upsamples by straight lines, draws marks and folds in tone curves, and uses every core.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "tamis bench:", err)
		os.Exit(1)
	}
}

// run does what args say: film and quotes for the tables; job, service and bare are the processes they measure,
// picture what draws for them.
func run(ctx context.Context, args []string, out io.Writer) error {
	flags := flag.NewFlagSet("bench", flag.ContinueOnError)
	pairs := flags.Int("pairs", 5, "runs of each side")
	scale := flags.Float64("scale", 1, "share of the real width and height, and of a run's time: less for a quick look")
	if err := flags.Parse(args); err != nil {
		return err
	}
	words := flags.Args()
	if *pairs < 1 || !(*scale > 0 && *scale <= 1) {
		return fmt.Errorf("%d pairs at scale %g: 1 or more, and above 0 up to 1", *pairs, *scale)
	}
	switch {
	case len(words) == 1 && words[0] == "film":
		return films(ctx, out, *pairs, *scale)
	case len(words) == 1 && words[0] == "quotes":
		return quotes(ctx, out, *pairs, *scale)
	case len(words) == 2 && words[0] == "bare":
		return serveBare(words[1], os.Stdin, out)
	case len(words) == 5 && words[0] == "job":
		return filmsAlone(ctx, words[1:], out)
	case len(words) == 6 && words[0] == "service":
		return oneOrder(ctx, words[1:], out)
	case len(words) == 4 && words[0] == "picture":
		return draw(words[1:])
	}
	return fmt.Errorf("usage: bench [-pairs n] [-scale s] film|quotes")
}
