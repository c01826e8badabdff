package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image/png"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"sync/atomic"
	"time"
)

// callers is how many ask at once: more than the cores, as a storefront's do.
const callers = 8

// quoteBar is the share of the bare handler's rate that quotes are to reach.
const quoteBar = 1.0 / 3

// asking is one line of the comparison: what is asked, and the next body.
type asking struct {
	name string
	next func() []byte
}

// quotes measures POST /v1/quotes on a known artwork against a handler that only decodes the order and encodes an answer
// of the same size. Either server is a process of its own, ours with its data on disk; runs alternate.
func quotes(ctx context.Context, out io.Writer, pairs int, scale float64) error {
	dir, err := os.MkdirTemp("", "tamis-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	program, err := build(ctx, dir, "tamis/api")
	if err != nil {
		return err
	}
	tamis, err := startService(ctx, program, dir)
	if err != nil {
		return err
	}
	defer tamis.stop()
	order, answer, err := firstQuote(ctx, tamis)
	if err != nil {
		return err
	}
	file := filepath.Join(dir, "answer.json")
	if err := os.WriteFile(file, answer, 0o600); err != nil {
		return err
	}
	plain, err := startBare(ctx, file)
	if err != nil {
		return err
	}
	defer plain.stop()
	while := time.Duration(float64(runFor) * scale)
	fmt.Fprintf(out, "%s\nquotes on a known artwork: %d callers, answers of %d bytes, medians of %d runs of %v each\n",
		machine(ctx), callers, len(answer), pairs, while)
	var asked atomic.Int64
	for _, a := range []asking{
		{"the same order each time", func() []byte { return order(72) }},
		{"another quantity each time", func() []byte { return order(1000 + asked.Add(1)) }}} {
		if err := compare(ctx, out, a, plain.base, tamis.base, pairs, while); err != nil {
			return err
		}
	}
	return nil
}

// runFor is how long one run lasts.
const runFor = 5 * time.Second

// firstQuote uploads a picture and quotes it, so that the artwork is known. order gives the order of a quantity.
func firstQuote(ctx context.Context, tamis *service) (order func(quantity int64) []byte, answer json.RawMessage,
	err error) {
	var picture bytes.Buffer
	if err := png.Encode(&picture, waves(900, 1200)); err != nil {
		return nil, nil, err
	}
	var art struct{ ID string }
	if err := tamis.call(ctx, http.MethodPost, "/v1/artworks", "image/png", picture.Bytes(), &art); err != nil {
		return nil, nil, err
	}
	order = func(quantity int64) []byte {
		return fmt.Appendf(nil, `{"artwork_id":%q,"print":{"width_mm":300,"placement":"front"},"garment":{"color":"#17181a",`+
			`"unit_cost":"3.10"},"quantity":%d,"order_ref":"A-1017"}`, art.ID, quantity)
	}
	err = tamis.call(ctx, http.MethodPost, "/v1/quotes", "application/json", order(72), &answer)
	return order, answer, err
}

// compare runs both servers in turn, pairs times over after one run that is not counted, and prints a line for each.
func compare(ctx context.Context, out io.Writer, a asking, plain, tamis string, pairs int, while time.Duration) error {
	bases := []string{plain, tamis}
	runs := make([][]rate, len(bases))
	for n := range pairs + 1 {
		for i, base := range bases {
			r, err := load(ctx, base+"/v1/quotes", a.next, callers, while)
			if err != nil {
				return err
			}
			if n > 0 {
				runs[i] = append(runs[i], r)
			}
		}
	}
	bare, ours := middle(runs[0]), middle(runs[1])
	share := ours.perS / bare.perS
	verdict := "reaches"
	if share < quoteBar {
		verdict = "falls short of"
	}
	fmt.Fprintf(out, "\n%s: %.2f of the bare handler's rate, %s the bar of %.2f\n  %-14s %12s %8s %8s\n", a.name, share,
		verdict, quoteBar, "", "requests/s", "p50 ms", "p99 ms")
	fmt.Fprintf(out, "  %-14s %12.1f %8.2f %8.2f\n", "bare handler", bare.perS, bare.p50MS, bare.p99MS)
	fmt.Fprintf(out, "  %-14s %12.1f %8.2f %8.2f\n", "Tamis", ours.perS, ours.p50MS, ours.p99MS)
	return nil
}

// middle is the run of the middle rate, the upper of two.
func middle(runs []rate) rate {
	slices.SortFunc(runs, func(a, b rate) int { return int(1000 * (a.perS - b.perS)) })
	return runs[len(runs)/2]
}
