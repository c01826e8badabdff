package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"tamis/pkg/fault"
)

// PutOnce stores body unless the key holds something already.
func (d *Dir) PutOnce(ctx context.Context, key string, body io.ReadSeeker, bytes int64, sum [32]byte,
	_ string) (bool, error) {
	if err := checkKey(key); err != nil {
		return false, err
	}
	if _, err := os.Stat(d.Path(key)); err == nil {
		return false, d.sameContent(ctx, key, bytes, sum)
	}
	tmp, err := d.writeTemp(ctx, key, body, bytes, sum)
	if err != nil {
		return false, err
	}
	defer os.Remove(tmp)
	if err := d.makeFolder(key); err != nil {
		return false, err
	}
	err = os.Link(tmp, d.Path(key))
	if errors.Is(err, fs.ErrExist) {
		return false, d.sameContent(ctx, key, bytes, sum)
	}
	if err != nil {
		return false, dirFault(key, err)
	}
	d.rememberSum(key, hex.EncodeToString(sum[:]))
	return true, syncDir(filepath.Dir(d.Path(key)))
}

// Put stores a small document over what was there.
func (d *Dir) Put(ctx context.Context, key string, data []byte, _ string) error {
	if err := checkKey(key); err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	_, err := d.replace(ctx, key, data)
	return err
}

// PutIfMatch stores a small document when the one there has this etag.
func (d *Dir) PutIfMatch(ctx context.Context, key string, data []byte, etag string) (string, error) {
	if err := checkKey(key); err != nil {
		return "", err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	info, err := d.Stat(ctx, key)
	if err != nil && !fault.Is(err, fault.NotFound) {
		return "", err
	}
	if info.ETag != etag {
		return "", stale(key)
	}
	return d.replace(ctx, key, data)
}

// replace writes data in place of what the key holds and gives the new etag. The caller holds mu.
func (d *Dir) replace(ctx context.Context, key string, data []byte) (string, error) {
	sum := sha256.Sum256(data)
	tmp, err := d.writeTemp(ctx, key, bytes.NewReader(data), int64(len(data)), sum)
	if err != nil {
		return "", err
	}
	defer os.Remove(tmp)
	if err := d.makeFolder(key); err != nil {
		return "", err
	}
	if err := os.Rename(tmp, d.Path(key)); err != nil {
		return "", dirFault(key, err)
	}
	etag := hex.EncodeToString(sum[:])
	d.rememberSum(key, etag)
	return etag, syncDir(filepath.Dir(d.Path(key)))
}

// makeFolder makes the folder a key lies in. In a file tree nothing can lie below an object; our keys never do.
func (d *Dir) makeFolder(key string) error {
	err := os.MkdirAll(filepath.Dir(d.Path(key)), 0o755)
	if errors.Is(err, syscall.ENOTDIR) {
		return badKey(key, "lies below another object")
	}
	if err != nil {
		return dirFault(key, err)
	}
	return nil
}

// sameContent tells the second writer of a key whether it wrote what is there.
func (d *Dir) sameContent(ctx context.Context, key string, bytes int64, sum [32]byte) error {
	info, err := d.Stat(ctx, key)
	if err != nil {
		return err
	}
	if info.Bytes != bytes || info.SHA256 != hex.EncodeToString(sum[:]) {
		return otherContent(key)
	}
	return nil
}

// writeTemp writes body to a synced file in tmp and compares length and hash; nothing is left when they differ.
func (d *Dir) writeTemp(ctx context.Context, key string, body io.ReadSeeker, bytes int64,
	sum [32]byte) (string, error) {
	if _, err := body.Seek(0, io.SeekStart); err != nil {
		return "", fmt.Errorf("object %s: %w", key, err)
	}
	file, err := os.CreateTemp(filepath.Join(d.root, "tmp"), "put-*")
	if err != nil {
		return "", dirFault(key, err)
	}
	err = copyChecked(ctx, key, file, body, bytes, sum)
	if err = errors.Join(err, file.Close()); err != nil {
		os.Remove(file.Name())
		return "", err
	}
	return file.Name(), nil
}

func copyChecked(ctx context.Context, key string, file *os.File, body io.Reader, bytes int64, sum [32]byte) error {
	hash := sha256.New()
	n, err := io.Copy(io.MultiWriter(file, hash), &asking{ctx, body})
	if err != nil {
		return err
	}
	if n != bytes || [32]byte(hash.Sum(nil)) != sum {
		return damaged(key, fmt.Sprintf("%d of %d bytes came, or their SHA-256 differs", n, bytes))
	}
	return file.Sync()
}

// asking is a reader that asks ctx before each read.
type asking struct {
	ctx context.Context
	r   io.Reader
}

func (a *asking) Read(p []byte) (int, error) {
	if err := a.ctx.Err(); err != nil {
		return 0, err
	}
	return a.r.Read(p)
}

// syncDir makes a new name survive a power cut. Systems that cannot sync a directory say so with an error that
// changes nothing for us: the object is there.
func syncDir(path string) error {
	dir, err := os.Open(path)
	if err != nil {
		return nil
	}
	_ = dir.Sync()
	return dir.Close()
}
