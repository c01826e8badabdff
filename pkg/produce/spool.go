package produce

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"golang.org/x/sys/unix"
)

// spool holds the temporary files of one job; close removes them all. The lock is held as long as the job lives, so that
// CleanSpool can tell a left-over from a neighbour at work.
type spool struct {
	dir  string
	lock *os.File
}

const (
	spoolPattern = "tamis-job-"
	lockName     = "lock"
)

func newSpool(parent string) (*spool, error) {
	dir, err := os.MkdirTemp(parent, spoolPattern)
	if err != nil {
		return nil, fmt.Errorf("spool: %w", err)
	}
	lock, err := lockFile(dir)
	if err != nil {
		os.RemoveAll(dir)
		return nil, fmt.Errorf("spool: %w", err)
	}
	return &spool{dir, lock}, nil
}

// lockFile takes the lock of a spool folder; an error says that another process holds it.
func lockFile(dir string) (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(dir, lockName), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, err
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// CleanSpool removes what jobs of a killed process left in parent ("" is the system's folder), and nothing that a
// living process holds. A folder made a moment ago and not yet locked is left alone.
func CleanSpool(parent string, now time.Time) error {
	if parent == "" {
		parent = os.TempDir()
	}
	left, err := filepath.Glob(filepath.Join(parent, spoolPattern+"*"))
	if err != nil {
		return err
	}
	for _, dir := range left {
		if info, err := os.Stat(dir); err != nil || now.Sub(info.ModTime()) < time.Minute {
			continue
		}
		if lock, err := lockFile(dir); err == nil {
			lock.Close()
			os.RemoveAll(dir)
		}
	}
	return nil
}

func (s *spool) close() {
	_ = os.RemoveAll(s.dir) // left-overs are harmless; CleanSpool finds them
	s.lock.Close()
}

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
	r.listFile(f)
	return f, nil
}

// listFile adds a file to the result. Steps run side by side: sorted brings the list into order.
func (r *run) listFile(f File) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.result.Files = append(r.result.Files, f)
}

// sorted brings the files into the order of the chain, whichever was done first.
func (r *run) sorted() {
	names := []string{gamutFile, thinFile}
	for _, p := range r.Plan.Doc.Plates {
		for _, page := range r.Plan.Layout.Pages() {
			names = append(names, filmName(p, page.Part, "tif"))
		}
	}
	names = append(names, pdfFile, overlayFile, proofFile, sheetFile, setupFile)
	slices.SortStableFunc(r.result.Files, func(a, b File) int {
		return cmp.Compare(slices.Index(names, a.Name), slices.Index(names, b.Name))
	})
}

func (r *run) putBytes(name, mediaType string, data []byte) (File, error) {
	return r.put(name, mediaType, 0, bytes.NewReader(data))
}
