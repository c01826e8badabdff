package serve_test

import (
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestALostFileIsSaidAndMadeAnew removes a film's bytes from under a finished job.
func TestALostFileIsSaidAndMadeAnew(t *testing.T) {
	data := t.TempDir()
	s := start(t, "TAMIS_DATA="+data)
	order := orderOf(s.upload(flatPNG(t, 100)), "")
	job := s.call("POST", "/v1/jobs", waiting, order).want(t, 202)
	path := "/v1/jobs/" + job["id"].(string) + "/files/01-white-underbase.tif"
	film := s.call("GET", path, nil, nil)
	if film.status != 200 {
		t.Fatalf("%d %s", film.status, film.body)
	}
	removeFile(t, data, strings.Trim(film.header.Get("ETag"), `"`))
	lost := s.call("GET", path, nil, nil)
	doc := lost.want(t, 503)
	if doc["code"] != "file_lost" || strings.Contains(string(lost.body), "shops/") || lost.header.Get("ETag") != "" {
		t.Errorf("%s %v", lost.body, lost.header)
	}
	again := s.call("POST", "/v1/jobs", waiting, order).want(t, 202)
	if again["state"] != "done" || again["attempts"].(float64) != 1 {
		t.Errorf("sent again: %v after %v attempts", again["state"], again["attempts"])
	}
	if back := s.call("GET", path, nil, nil); back.status != 200 || string(back.body) != string(film.body) {
		t.Errorf("made anew: %d, %d bytes of %d", back.status, len(back.body), len(film.body))
	}
}

func removeFile(t *testing.T, data, sha string) {
	t.Helper()
	removed := 0
	_ = filepath.WalkDir(data, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() && strings.Contains(d.Name(), sha) {
			removed++
			return os.Remove(path)
		}
		return err
	})
	if removed == 0 {
		t.Fatalf("nothing named %s in the store", sha)
	}
}

// TestSlowCallersDoNotStopUploads opens bodies that never come and uploads beside them.
func TestSlowCallersDoNotStopUploads(t *testing.T) {
	s := start(t)
	for range 4 {
		slow, err := net.Dial("tcp", strings.TrimPrefix(s.base, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		defer slow.Close()
		if _, err := io.WriteString(slow, "POST /v1/artworks HTTP/1.1\r\nHost: x\r\nContent-Length: 90000000\r\n\r\nx"); err != nil {
			t.Fatal(err)
		}
	}
	done := make(chan string, 1)
	go func() { done <- s.upload(flatPNG(t, 50)) }()
	select {
	case <-done:
	case <-time.After(15 * time.Second):
		t.Fatal("an honest upload waits behind slow ones")
	}
}
