package store

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

func (d *Dir) sumPath(key string) string {
	return filepath.Join(d.root, "sums", filepath.FromSlash(key))
}

// sum gives the SHA-256 of an object, from the file beside it when that was written for this length and time,
// else by reading the object.
func (d *Dir) sum(key string, st fs.FileInfo) (string, error) {
	if noted, err := os.ReadFile(d.sumPath(key)); err == nil && len(noted) > 64 {
		if string(noted[64:]) == sumSuffix(st) {
			return string(noted[:64]), nil
		}
	}
	file, err := os.Open(d.Path(key))
	if err != nil {
		return "", err
	}
	defer file.Close()
	hash := sha256.New()
	if _, err := io.Copy(hash, file); err != nil {
		return "", err
	}
	sum := hex.EncodeToString(hash.Sum(nil))
	d.rememberSum(key, sum)
	return sum, nil
}

// rememberSum notes a hash beside the object. It is a cache: failing to write it costs a read later, nothing else.
func (d *Dir) rememberSum(key, sum string) {
	st, err := os.Stat(d.Path(key))
	if err != nil {
		return
	}
	tmp, err := os.CreateTemp(filepath.Join(d.root, "tmp"), "sum-*")
	if err != nil {
		return
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.WriteString(sum + sumSuffix(st))
	if tmp.Close() != nil || err != nil || os.MkdirAll(filepath.Dir(d.sumPath(key)), 0o755) != nil {
		return
	}
	_ = os.Rename(tmp.Name(), d.sumPath(key))
}

func sumSuffix(st fs.FileInfo) string {
	return fmt.Sprintf(" %d %d\n", st.Size(), st.ModTime().UnixNano())
}
