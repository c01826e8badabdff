package store_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"testing"

	"tamis/deploy/servers"
	"tamis/pkg/store"
)

// A film is put once. Doing the task again writes the same bytes and changes nothing.
func Example() {
	root, err := os.MkdirTemp("", "films")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(root)
	films, err := store.OpenDir(root)
	if err != nil {
		panic(err)
	}
	film := []byte("the bits of a film")
	for range 2 {
		created, err := films.PutOnce(context.Background(), "shops/default/films/1.tiff", bytes.NewReader(film),
			int64(len(film)), sha256.Sum256(film), "image/tiff")
		fmt.Println(created, err)
	}
	// Output:
	// true <nil>
	// false <nil>
}

func BenchmarkPutOnce(b *testing.B) {
	dir, err := store.OpenDir(b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	for _, s := range []struct {
		name  string
		store store.Store
	}{{"directory", dir}, {"bucket", openBucket(b, servers.S3(b))}} {
		b.Run(s.name, func(b *testing.B) {
			film, n := make([]byte, 2<<20), 0 // about a plate, Group 4
			sum := sha256.Sum256(film)
			b.SetBytes(int64(len(film)))
			b.ReportAllocs()
			for b.Loop() {
				key := fmt.Sprintf("bench/%d", n)
				if _, err := s.store.PutOnce(b.Context(), key, bytes.NewReader(film), int64(len(film)), sum, ""); err != nil {
					b.Fatal(err)
				}
				n++
			}
		})
	}
}
