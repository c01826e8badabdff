package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"
	"time"

	"tamis/pkg/fault"
)

// Dir is a store in a local directory. Several processes may share it, but PutIfMatch is exclusive within one only.
//
//	root/objects/KEY   the objects, as plain files a person can open
//	root/sums/KEY      hash, length and time of the object beside it: a cache, recomputed when it does not fit
//	root/tmp/          what is being written; what is old at the start is a crash's and is removed
//
// An object appears whole or not at all: it is written to tmp, synced, and linked (PutOnce: link refuses an
// existing name, so exactly one writer wins) or renamed (Put) into place.
type Dir struct {
	root string
	mu   sync.Mutex // guards read-compare-write of PutIfMatch against Put, PutIfMatch and Delete
}

var _ Store = (*Dir)(nil)

// OpenDir opens the store in path, which it makes if it has to.
func OpenDir(path string) (*Dir, error) {
	root, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("data directory: %w", err)
	}
	for _, sub := range []string{"objects", "sums", "tmp"} {
		if err := os.MkdirAll(filepath.Join(root, sub), 0o755); err != nil {
			return nil, fmt.Errorf("data directory: %w", err)
		}
	}
	if err := removeOld(filepath.Join(root, "tmp")); err != nil {
		return nil, fmt.Errorf("data directory: %w", err)
	}
	return &Dir{root: root}, nil
}

// oldAfter is when a file in tmp can be nobody's any more: no put takes so long.
const oldAfter = 6 * time.Hour

// removeOld removes what crashes left in a folder.
func removeOld(folder string) error {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if st, err := e.Info(); err == nil && time.Since(st.ModTime()) > oldAfter {
			_ = os.Remove(filepath.Join(folder, e.Name())) // one that stays costs room, nothing else
		}
	}
	return nil
}

// Path gives the file an object is kept in, for a person to open; the object need not exist.
func (d *Dir) Path(key string) string {
	return filepath.Join(d.root, "objects", filepath.FromSlash(key))
}

// Get opens an object.
func (d *Dir) Get(ctx context.Context, key string) (io.ReadCloser, Info, error) {
	info, err := d.Stat(ctx, key)
	if err != nil {
		return nil, Info{}, err
	}
	file, err := os.Open(d.Path(key))
	if err != nil {
		return nil, Info{}, dirFault(key, err)
	}
	return verify(file, info), info, nil
}

// GetRange opens n bytes of an object from off on.
func (d *Dir) GetRange(ctx context.Context, key string, off, n int64) (io.ReadCloser, Info, error) {
	info, err := d.Stat(ctx, key)
	if err != nil {
		return nil, Info{}, err
	}
	if off < 0 || n < 0 || off >= info.Bytes {
		return nil, Info{}, pastEnd(key, off, info.Bytes)
	}
	file, err := os.Open(d.Path(key))
	if err != nil {
		return nil, Info{}, dirFault(key, err)
	}
	return limited{io.NewSectionReader(file, off, n), file}, info, nil
}

// Stat describes an object.
func (d *Dir) Stat(ctx context.Context, key string) (Info, error) {
	if err := checkKey(key); err != nil {
		return Info{}, err
	}
	if err := ctx.Err(); err != nil {
		return Info{}, err
	}
	st, err := os.Stat(d.Path(key))
	if err == nil && !st.Mode().IsRegular() {
		err = fs.ErrNotExist
	}
	if err != nil {
		return Info{}, dirFault(key, err)
	}
	sum, err := d.sum(key, st)
	if err != nil {
		return Info{}, dirFault(key, err)
	}
	return Info{Key: key, Bytes: st.Size(), SHA256: sum, Modified: st.ModTime().UTC(), ETag: sum}, nil
}

// Delete removes an object.
func (d *Dir) Delete(ctx context.Context, key string) error {
	if err := checkKey(key); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	_ = os.Remove(d.sumPath(key)) // a cache: one left behind does not fit the next object and is recomputed
	if err := os.Remove(d.Path(key)); err != nil && !missing(err) {
		return dirFault(key, err)
	}
	return nil
}

// PresignGet is not possible for a directory: ok is false.
func (d *Dir) PresignGet(_ context.Context, key, _, _ string, _ time.Duration) (string, bool, error) {
	return "", false, checkKey(key)
}

// missing tells whether a file system error says that there is no such object. Below a file there is nothing either.
func missing(err error) bool {
	return errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR)
}

func dirFault(key string, err error) error {
	if missing(err) {
		return notFound(key)
	}
	return fault.Wrap(err, fault.Unavailable, "store_unavailable", "the data directory does not answer")
}
