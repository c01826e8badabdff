package backend_test

import (
	"context"
	"log/slog"
	"strings"
	"testing"

	"tamis/pkg/settings"
	"tamis/worker/backend"
)

func open(t *testing.T, data string) (*backend.Backend, error) {
	t.Helper()
	s, err := settings.Read([]string{"TAMIS_DATA=" + data})
	if err != nil {
		t.Fatal(err)
	}
	return backend.Open(context.Background(), s, slog.New(slog.DiscardHandler))
}

func TestOneFolderIsOneApis(t *testing.T) {
	data := t.TempDir()
	first, err := open(t, data)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := open(t, data); err == nil || !strings.Contains(err.Error(), "another api") {
		t.Errorf("a second opened the same folder: %v", err)
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := open(t, data)
	if err != nil {
		t.Fatalf("after the first closed: %v", err)
	}
	if err := again.Close(); err != nil {
		t.Error(err)
	}
}
