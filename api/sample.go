package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"tamis/testdata"
)

// sampleOrder is one order of the demo scenario: an invented village fair that prints shirts and bags.
type sampleOrder struct{ ref, art, order string }

var sampleOrders = []sampleOrder{
	{"fair-shirt", "orchard-fair.png", `{"print":{"width_mm":280},"garment":{"color":"#20304a","name":"navy shirt",` +
		`"unit_cost":"3.10"},"quantity":72,"order_ref":"fair-shirt"}`},
	{"lantern-shirt", "lantern-night.png", `{"print":{"width_mm":300},"garment":{"color":"#17181a","name":"black shirt",` +
		`"unit_cost":"3.40"},"quantity":120,"separation":{"max_screens":6},"order_ref":"lantern-shirt"}`},
	{"honey-bag", "bee-stencil.png", `{"print":{"width_mm":180},"garment":{"color":"#e9dfc8","name":"cotton bag",` +
		`"unit_cost":"1.20"},"quantity":150,"order_ref":"honey-bag"}`},
}

// runSample sends the sample orders through the HTTP interface as a storefront would, and writes their files under data.
func runSample(ctx context.Context, base, data string, out io.Writer) error {
	s := &storefront{ctx: ctx, base: base, out: out}
	for _, one := range sampleOrders {
		if err := s.order(one, filepath.Join(data, "sample", one.ref)); err != nil {
			return fmt.Errorf("sample order %s: %w", one.ref, err)
		}
	}
	_, err := fmt.Fprintf(out, "\nThe interface, browsable: %s/docs\n", base)
	return err
}

// storefront is a caller of the HTTP interface.
type storefront struct {
	ctx  context.Context
	base string
	out  io.Writer
}

// answer holds what a storefront reads of the answers.
type answer struct {
	ID, State, Total, Currency string
	PerPiece                   string `json:"per_piece"`
	Plan                       struct {
		Method  string
		Screens int
		Match   struct {
			Mean float64 `json:"delta_e00_mean"`
		}
	}
	Lines []struct{ Label, Quantity, Unit, Amount string }
	Files []struct {
		Name, Href, SHA256 string
		Bytes              int64
	}
	Problem json.RawMessage
}

func (s *storefront) order(one sampleOrder, dir string) error {
	art, err := testdata.Art.ReadFile("art/" + one.art)
	if err != nil {
		return err
	}
	var uploaded, quote answer
	if err := s.call("POST", "/v1/artworks", "image/png", art, &uploaded); err != nil {
		return err
	}
	body := []byte(`{"artwork_id":"` + uploaded.ID + `",` + one.order[1:])
	if err := s.call("POST", "/v1/quotes", "application/json", body, &quote); err != nil {
		return err
	}
	s.printQuote(one, quote)
	job, err := s.finished(body)
	if err != nil {
		return err
	}
	return s.fetchAll(job, dir)
}

func (s *storefront) printQuote(one sampleOrder, q answer) {
	fmt.Fprintf(s.out, "\n%s: %s, screens %d, predicted colour error %.1f\n", one.ref, q.Plan.Method, q.Plan.Screens,
		q.Plan.Match.Mean)
	for _, l := range q.Lines {
		fmt.Fprintf(s.out, "  %-34s %10s %-13s %10s\n", l.Label, l.Quantity, l.Unit, l.Amount)
	}
	fmt.Fprintf(s.out, "  %-34s %24s %10s %s (%s each)\n", "Total", "", q.Total, q.Currency, q.PerPiece)
}

// finished orders the films and waits for them.
func (s *storefront) finished(body []byte) (id string, err error) {
	var job answer
	if err := s.call("POST", "/v1/jobs", "application/json", body, &job); err != nil {
		return "", err
	}
	for job.State == "queued" || job.State == "running" {
		if err := s.call("GET", "/v1/jobs/"+job.ID, "", nil, &job); err != nil {
			return "", err
		}
	}
	if job.State != "done" {
		return "", fmt.Errorf("job %s is %s: %s", job.ID, job.State, job.Problem)
	}
	return job.ID, nil
}

// fetchAll downloads every file of a job and checks its hash.
func (s *storefront) fetchAll(job, dir string) error {
	var list answer
	if err := s.call("GET", "/v1/jobs/"+job+"/files", "", nil, &list); err != nil {
		return err
	}
	if len(list.Files) == 0 {
		return fmt.Errorf("job %s has no files", job)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, f := range list.Files {
		path := filepath.Join(dir, filepath.Base(f.Name))
		if err := s.fetch(f.Href, f.SHA256, path); err != nil {
			return fmt.Errorf("%s: %w", f.Name, err)
		}
		fmt.Fprintf(s.out, "  %s\n", path)
	}
	return nil
}

func (s *storefront) fetch(href, sha, path string) error {
	resp, err := s.do("GET", href, "", nil)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	h := sha256.New()
	if _, err := io.Copy(io.MultiWriter(f, h), resp.Body); err != nil {
		f.Close()
		return err
	}
	if got := hex.EncodeToString(h.Sum(nil)); got != sha {
		f.Close()
		return fmt.Errorf("hash %s, promised %s", got, sha)
	}
	return f.Close()
}

// call sends a request and reads a JSON answer.
func (s *storefront) call(method, path, contentType string, body []byte, into *answer) error {
	resp, err := s.do(method, path, contentType, body)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	*into = answer{}
	return json.NewDecoder(resp.Body).Decode(into)
}

// do sends a request; an answer that is no success is an error with the problem in it.
func (s *storefront) do(method, path, contentType string, body []byte) (*http.Response, error) {
	ctx, cancel := context.WithTimeout(s.ctx, 5*time.Minute)
	req, err := http.NewRequestWithContext(ctx, method, s.base+path, bytes.NewReader(body))
	if err != nil {
		cancel()
		return nil, err
	}
	if contentType != "" {
		req.Header.Set("Content-Type", contentType)
	}
	req.Header.Set("Prefer", "wait=30")
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		cancel()
		return nil, err
	}
	resp.Body = &closing{resp.Body, cancel}
	if resp.StatusCode < 300 {
		return resp, nil
	}
	defer resp.Body.Close()
	problem, _ := io.ReadAll(io.LimitReader(resp.Body, 4096)) // what came is enough to show
	return nil, fmt.Errorf("%s %s: %s: %s", method, path, resp.Status, problem)
}

// closing ends a request's context with its body.
type closing struct {
	io.ReadCloser
	cancel context.CancelFunc
}

func (c *closing) Close() error {
	defer c.cancel()
	return c.ReadCloser.Close()
}
