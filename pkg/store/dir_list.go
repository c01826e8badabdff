package store

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// List gives up to limit objects whose key starts with prefix and is greater than after.
func (d *Dir) List(ctx context.Context, prefix, after string, limit int) ([]Info, error) {
	if err := checkPrefix(prefix); err != nil {
		return nil, err
	}
	l := &dirList{dir: d, prefix: prefix, after: after, limit: limit}
	start := ""
	if cut := strings.LastIndexByte(prefix, '/'); cut >= 0 {
		start = prefix[:cut+1] // no key outside this folder can match
	}
	if err := l.walk(ctx, start); err != nil {
		return nil, dirFault(prefix, err)
	}
	return l.found, nil
}

// dirList is one listing under way.
type dirList struct {
	dir           *Dir
	prefix, after string
	limit         int
	found         []Info
}

// walk lists the folder named by base ("" or ending in a slash) in byte order of whole keys: a folder sorts as its
// name with a slash, so "a-b" stands before "a/x", as S3 orders them.
func (l *dirList) walk(ctx context.Context, base string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	entries, err := os.ReadDir(filepath.Join(l.dir.root, "objects", filepath.FromSlash(base)))
	if missing(err) {
		return nil
	}
	if err != nil {
		return err
	}
	names := make([]string, 0, len(entries))
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() {
			name += "/"
		}
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		if len(l.found) >= l.limit {
			return nil
		}
		if err := l.visit(ctx, base+name); err != nil {
			return err
		}
	}
	return nil
}

// visit takes a key, or walks a folder that can hold one.
func (l *dirList) visit(ctx context.Context, key string) error {
	if strings.HasSuffix(key, "/") {
		matches := strings.HasPrefix(key, l.prefix) || strings.HasPrefix(l.prefix, key)
		allBefore := key < l.after && !strings.HasPrefix(l.after, key)
		if !matches || allBefore {
			return nil
		}
		return l.walk(ctx, key)
	}
	if !strings.HasPrefix(key, l.prefix) || key <= l.after {
		return nil
	}
	st, err := os.Stat(l.dir.Path(key))
	if missing(err) {
		return nil // deleted while we walked
	}
	if err != nil {
		return err
	}
	l.found = append(l.found, Info{Key: key, Bytes: st.Size(), Modified: st.ModTime().UTC()})
	return nil
}
