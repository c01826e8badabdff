package library

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"io"
	"path"

	"tamis/pkg/fault"
	"tamis/pkg/produce"
)

// Result finds the finished result of a work, fault.NotFound where there is none yet.
func (l *Library) Result(ctx context.Context, shop ShopID, w WorkID) (produce.Result, error) {
	var r produce.Result
	return r, l.read(ctx, ResultKey(shop, w), &r)
}

// Finished finds a finished result whose files all stand; one that lost a file counts as none, so that the work is done
// again.
func (l *Library) Finished(ctx context.Context, shop ShopID, w WorkID) (r produce.Result, ok bool, err error) {
	r, err = l.Result(ctx, shop, w)
	if fault.Is(err, fault.NotFound) {
		return r, false, nil
	}
	for _, f := range r.Files {
		if err != nil {
			break
		}
		if _, err = l.store.Stat(ctx, FileKey(shop, f)); fault.Is(err, fault.NotFound) {
			return r, false, nil
		}
	}
	return r, err == nil, err
}

// ResultKey is where a work's result stands; the queue keeps it as a job's manifest.
func ResultKey(shop ShopID, w WorkID) string { return workKey(shop, w, "result.json") }

// SaveResult writes the result, after every file it names. Two workers that did the same work write the same bytes.
func (l *Library) SaveResult(ctx context.Context, shop ShopID, w WorkID, r produce.Result) (key string, err error) {
	doc, err := json.Marshal(r)
	if err != nil {
		return "", err
	}
	key = ResultKey(shop, w)
	_, err = l.putOnce(ctx, key, doc, "application/json")
	return key, err
}

// FileKey is where a file of a result stands.
func FileKey(shop ShopID, f produce.File) string { return fileKey(shop, f.SHA256, path.Ext(f.Name)) }

// Sink keeps the files of one work: bytes under their hash, and a small pointer from the work's name for each.
type Sink struct {
	library *Library
	shop    ShopID
	work    WorkID
}

var _ produce.Sink = (*Sink)(nil)

// Sink opens the sink of a work.
func (l *Library) Sink(shop ShopID, w WorkID) *Sink { return &Sink{l, shop, w} }

// Finished finds a file that an earlier attempt at this work put.
func (s *Sink) Finished(ctx context.Context, name string) (produce.File, bool, error) {
	var f produce.File
	err := s.library.read(ctx, workKey(s.shop, s.work, "parts/"+name+".json"), &f)
	if err == nil {
		_, err = s.library.store.Stat(ctx, FileKey(s.shop, f)) // the bytes may be gone from under the pointer
	}
	if fault.Is(err, fault.NotFound) {
		return f, false, nil
	}
	return f, err == nil, err
}

// Open reads a kept file back.
func (s *Sink) Open(ctx context.Context, f produce.File) (io.ReadCloser, error) {
	body, _, err := s.library.store.Get(ctx, FileKey(s.shop, f))
	return body, err
}

// Put keeps a file: its bytes first, then the pointer.
func (s *Sink) Put(ctx context.Context, f produce.File, body io.ReadSeeker) error {
	var sum [32]byte
	if n, err := hex.Decode(sum[:], []byte(f.SHA256)); err != nil || n != len(sum) || !extForm.MatchString(path.Ext(f.Name)) {
		panic("library: file " + f.Name + " has no hash or no extension")
	}
	if _, err := s.library.store.PutOnce(ctx, FileKey(s.shop, f), body, f.Bytes, sum, f.MediaType); err != nil {
		return err
	}
	pointer, err := json.Marshal(f)
	if err != nil {
		return err
	}
	_, err = s.library.putOnce(ctx, workKey(s.shop, s.work, "parts/"+f.Name+".json"), pointer, "application/json")
	return err
}
