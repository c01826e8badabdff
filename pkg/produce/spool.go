package produce

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
)

// spool holds the temporary files of one job; close removes them all.
type spool struct{ dir string }

func newSpool(parent string) (*spool, error) {
	dir, err := os.MkdirTemp(parent, "tamis-job-")
	if err != nil {
		return nil, fmt.Errorf("spool: %w", err)
	}
	return &spool{dir}, nil
}

func (s *spool) close() { _ = os.RemoveAll(s.dir) } // left-overs are harmless and named after us

// create opens a new temporary file.
func (s *spool) create() (*os.File, error) {
	f, err := os.CreateTemp(s.dir, "film-")
	if err != nil {
		return nil, fmt.Errorf("spool: %w", err)
	}
	return f, nil
}

// sum measures and hashes a file from its start, and leaves it rewound.
func sum(body io.ReadSeeker) (n int64, sha string, err error) {
	if _, err = body.Seek(0, io.SeekStart); err != nil {
		return 0, "", err
	}
	h := sha256.New()
	if n, err = io.Copy(h, body); err != nil {
		return 0, "", err
	}
	_, err = body.Seek(0, io.SeekStart)
	return n, hex.EncodeToString(h.Sum(nil)), err
}

// put hashes body, keeps it in the sink and lists it in the result.
func (r *run) put(name, mediaType string, inkArea float64, body io.ReadSeeker) (File, error) {
	n, sha, err := sum(body)
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", name, err)
	}
	f := File{Name: name, MediaType: mediaType, Bytes: n, SHA256: sha, InkArea: inkArea}
	if err := r.sink.Put(r.ctx, f, body); err != nil {
		return File{}, fmt.Errorf("%s: %w", name, err)
	}
	r.result.Files = append(r.result.Files, f)
	return f, nil
}

func (r *run) putBytes(name, mediaType string, data []byte) (File, error) {
	return r.put(name, mediaType, 0, bytes.NewReader(data))
}
