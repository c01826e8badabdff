// Package store keeps objects: artwork, films, job documents, shop documents.
//
// What goes in: a key of our own making and bytes. What comes out: the same bytes, with their length and SHA-256
// compared on the way. There are two stores behind one interface, a local directory (Dir) and an S3 bucket (Bucket),
// and one conformance test that runs on both. A film is put once: the second put of the same bytes is a success that
// changes nothing, other bytes under the same key are a conflict. That promise is what makes doing a task twice
// harmless, so SelfTest tries it at the start and a store that does not keep it is refused.
//
// It does not know what the objects mean, and it never sees a name a user chose: keys are ids and hashes.
package store

import (
	"context"
	"io"
	"time"
)

// Info describes an object.
type Info struct {
	Key      string
	Bytes    int64
	SHA256   string    // hex; "" where the store does not know it (a listing, an object somebody else put)
	Modified time.Time // when the object was put, UTC
	ETag     string    // opaque; for PutIfMatch; changes with the content
}

// Store is an object store. Keys are [a-z0-9/._-]+, no part empty, starting with a dot, or longer than 200 bytes;
// another key is our own bug and gives an Internal fault before anything is touched. Every call asks ctx.
// Safe for concurrent use.
type Store interface {
	// PutOnce stores body, which is bytes long and hashes to sha256, unless the key holds something already.
	// created is false when the same content is there. Other content there is fault.Conflict; a body that does not
	// match bytes and sha256 leaves nothing behind and is fault.Unavailable (it was damaged on the way).
	PutOnce(ctx context.Context, key string, body io.ReadSeeker, bytes int64, sha256 [32]byte,
		contentType string) (created bool, err error)
	// Put stores a small document, over what was there.
	Put(ctx context.Context, key string, data []byte, contentType string) error
	// PutIfMatch stores a small document when the one there has this etag; etag "" asks that there be none.
	// Otherwise it is fault.Precondition and nothing changes.
	PutIfMatch(ctx context.Context, key string, data []byte, etag string) (newETag string, err error)
	// Get opens an object, fault.NotFound if there is none. The reader compares length and hash and gives an error
	// in place of io.EOF when they differ.
	Get(ctx context.Context, key string) (io.ReadCloser, Info, error)
	// GetRange opens n bytes from off on; fewer come when the object ends first. off past the end is fault.Invalid.
	GetRange(ctx context.Context, key string, off, n int64) (io.ReadCloser, Info, error)
	// Stat describes an object without reading it.
	Stat(ctx context.Context, key string) (Info, error)
	// List gives up to limit objects whose key starts with prefix and is greater than after, in byte order of keys.
	List(ctx context.Context, prefix, after string, limit int) ([]Info, error)
	// Delete removes an object; one that is not there is no error.
	Delete(ctx context.Context, key string) error
	// PresignGet makes an address that gives the object to whoever holds it, for ttl, under this file name and type.
	// ok is false where the store cannot (a directory): stream it instead.
	PresignGet(ctx context.Context, key, filename, contentType string, ttl time.Duration) (url string, ok bool, err error)
}
