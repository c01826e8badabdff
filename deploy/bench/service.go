package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strconv"
	"syscall"
	"time"
)

// oneOrder starts an api on an empty folder, uploads a picture, orders its films and says how long that took until the
// job was done, without the start: words are the program, the picture, a folder, the print's width in inches, and
// "at-once" or "quoted", where a quote is asked for between upload and order and its time does not count.
func oneOrder(ctx context.Context, words []string, out io.Writer) error {
	widthIN, err := strconv.ParseFloat(words[3], 64)
	if err != nil {
		return err
	}
	art, err := os.ReadFile(words[1])
	if err != nil {
		return err
	}
	s, err := startService(ctx, words[0], words[2])
	if err != nil {
		return err
	}
	took, err := s.order(ctx, art, widthIN, words[4] == "quoted")
	if stopped := s.stop(); err == nil {
		err = stopped
	}
	fmt.Fprintln(out, tookWord, took.Seconds())
	return err
}

// service is an api at work.
type service struct {
	cmd  *exec.Cmd
	data string
	base string
}

func startService(ctx context.Context, program, dir string) (*service, error) {
	data, err := os.MkdirTemp(dir, "data-")
	if err != nil {
		return nil, err
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	address := listener.Addr().String()
	listener.Close()
	s := &service{cmd: exec.CommandContext(ctx, program), data: data, base: "http://" + address}
	s.cmd.Env = append(os.Environ(), "TAMIS_ADDR="+address, "TAMIS_DATA="+data)
	if err := s.cmd.Start(); err != nil {
		return nil, err
	}
	for range 500 {
		if resp, err := http.Get(s.base + "/readyz"); err == nil {
			resp.Body.Close()
			return s, nil
		}
		time.Sleep(10 * time.Millisecond)
	}
	return nil, fmt.Errorf("the api does not get ready; %w", s.stop())
}

func (s *service) stop() error {
	_ = s.cmd.Process.Signal(syscall.SIGTERM) // a dead process needs none
	return s.cmd.Wait()
}

// order uploads, quotes where asked, orders and waits.
func (s *service) order(ctx context.Context, art []byte, widthIN float64, quoted bool) (took time.Duration, err error) {
	defer os.RemoveAll(s.data)
	var answer struct{ ID, State string }
	start := time.Now()
	if err := s.call(ctx, "POST", "/v1/artworks", "image/png", art, &answer); err != nil {
		return 0, err
	}
	body := benchOrder(answer.ID, widthIN)
	if quoted {
		uploaded := time.Now()
		if err := s.call(ctx, "POST", "/v1/quotes", "application/json", body, &answer); err != nil {
			return 0, err
		}
		start = start.Add(time.Since(uploaded))
	}
	if err := s.call(ctx, "POST", "/v1/jobs", "application/json", body, &answer); err != nil {
		return 0, err
	}
	for answer.State == "queued" || answer.State == "running" {
		if err := s.call(ctx, "GET", "/v1/jobs/"+answer.ID, "", nil, &answer); err != nil {
			return 0, err
		}
	}
	if answer.State != "done" {
		return 0, fmt.Errorf("the job is %s", answer.State)
	}
	return time.Since(start), nil
}

func (s *service) call(ctx context.Context, method, path, contentType string, body []byte, into any) error {
	req, err := http.NewRequestWithContext(ctx, method, s.base+path, bytes.NewReader(body))
	if err != nil {
		return err
	}
	req.Header.Set("Content-Type", contentType)
	req.Header.Set("Prefer", "wait=30")
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	if resp.StatusCode >= 300 {
		said, _ := io.ReadAll(resp.Body) // it is for the message only
		return fmt.Errorf("%s %s: %s: %s", method, path, resp.Status, said)
	}
	return json.NewDecoder(resp.Body).Decode(into)
}
