package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"

	"tamis/pkg/fault"
)

// verified reads an object and compares what came with what was promised. A body cut short by a proxy or a store
// ends like a whole one, so length and hash are compared before io.EOF is passed on.
type verified struct {
	body io.ReadCloser
	info Info
	sum  hash.Hash
	read int64
}

func verify(body io.ReadCloser, info Info) io.ReadCloser {
	return &verified{body: body, info: info, sum: sha256.New()}
}

// Read passes bytes on; at the end it gives fault.Unavailable in place of io.EOF when they are not the object's.
func (v *verified) Read(p []byte) (int, error) {
	n, err := v.body.Read(p)
	v.sum.Write(p[:n])
	v.read += int64(n)
	switch {
	case err == nil || errors.Is(err, context.Canceled):
		return n, err
	case err != io.EOF: // the connection broke, or the client found a checksum wrong
		return n, fault.Wrap(err, fault.Unavailable, "object_damaged", "an object came incomplete")
	}
	if v.read != v.info.Bytes {
		return n, damaged(v.info.Key, fmt.Sprintf("%d of %d bytes came", v.read, v.info.Bytes))
	}
	if v.info.SHA256 != "" && hex.EncodeToString(v.sum.Sum(nil)) != v.info.SHA256 {
		return n, damaged(v.info.Key, "its SHA-256 differs")
	}
	return n, io.EOF
}

// Close closes the object; closing early is fine and checks nothing.
func (v *verified) Close() error { return v.body.Close() }

// limited is n bytes of an object with the object's Close.
type limited struct {
	io.Reader
	io.Closer
}
