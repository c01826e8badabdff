package serve_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"

	"tamis/api/serve"
	"tamis/openapi"
	"tamis/pkg/settings"
	"tamis/worker/backend"
)

// service is a whole Tamis in one process: embedded queue, a folder as store, its own worker, behind real HTTP.
type service struct {
	t    *testing.T
	base string
}

// start serves from a fresh folder until the test ends. extra are further settings, as NAME=value.
func start(t *testing.T, extra ...string) *service {
	t.Helper()
	s, err := settings.Read(append([]string{"TAMIS_DATA=" + t.TempDir()}, extra...))
	if err != nil {
		t.Fatal(err)
	}
	log := slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelWarn}))
	ctx, stop := context.WithCancel(t.Context())
	b, err := backend.Open(ctx, s, log)
	if err != nil {
		t.Fatal(err)
	}
	closing := make(chan struct{})
	server := httptest.NewServer(serve.New(serve.Config{Library: b.Library, Queue: b.Queue, Limits: b.Limits, Log: log,
		Closing: closing, OpenAPI: openapi.Document}))
	worked := make(chan error, 1)
	go func() { worked <- b.Work(ctx) }()
	t.Cleanup(func() {
		close(closing)
		stop()
		if err := <-worked; err != nil {
			t.Error(err)
		}
		server.Close()
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	})
	return &service{t, server.URL}
}

// reply is an answer with its body read.
type reply struct {
	status int
	header http.Header
	body   []byte
}

func (s *service) call(method, path string, header map[string]string, body []byte) reply {
	s.t.Helper()
	req, err := http.NewRequestWithContext(s.t.Context(), method, s.base+path, bytes.NewReader(body))
	if err != nil {
		s.t.Fatal(err)
	}
	for k, v := range header {
		req.Header.Set(k, v)
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	resp, err := client.Do(req)
	if err != nil {
		s.t.Fatal(err)
	}
	defer resp.Body.Close()
	data, err := io.ReadAll(resp.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return reply{resp.StatusCode, resp.Header, data}
}

// want fails the test when the status is another, and reads the JSON body into a map.
func (r reply) want(t *testing.T, status int) map[string]any {
	t.Helper()
	if r.status != status {
		t.Fatalf("status %d, want %d: %s", r.status, status, r.body)
	}
	var doc map[string]any
	if len(r.body) > 0 {
		if err := json.Unmarshal(r.body, &doc); err != nil {
			t.Fatalf("%v in %.200s", err, r.body)
		}
	}
	return doc
}
