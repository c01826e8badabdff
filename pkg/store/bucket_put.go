package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"
	"net/http"
	"time"

	"github.com/minio/minio-go/v7"

	"tamis/pkg/fault"
)

// conflictTries bounds how often a 409 is answered by another try, conflictPause what lies between two.
// 409 says two writers raced and neither may have won, so it never means "exists".
const (
	conflictTries = 8
	conflictPause = 50 * time.Millisecond
)

// askFirstBytes is the size from which the store is asked before a body is sent: a server may refuse a condition
// after the first bytes and close the connection, which then looks like a broken one. Below it the body is out
// before the answer can come.
const askFirstBytes = 64 << 10

// slowest is the rate, in bytes per second, below which a body is given up.
const slowest = 256 << 10

// maxSinglePart is S3's limit for an object put in one part.
const maxSinglePart = 5 << 30

// PutOnce stores body in one part unless the key holds something already. One part, because minio-go drops the
// condition when it completes a multipart upload, and a second put would replace the first.
func (b *Bucket) PutOnce(ctx context.Context, key string, body io.ReadSeeker, bytes int64, sum [32]byte,
	contentType string) (bool, error) {
	if err := checkKey(key); err != nil {
		return false, err
	}
	if bytes < 0 || bytes > maxSinglePart {
		return false, fault.Newf(fault.TooLarge, "", "object_too_large", "object %s has %d bytes; one part holds %d",
			key, bytes, int64(maxSinglePart))
	}
	if bytes > askFirstBytes {
		if err := b.sameContent(ctx, key, bytes, sum); !fault.Is(err, fault.NotFound) {
			return false, err
		}
	}
	opts := putOptions(sum, contentType)
	opts.SetMatchETagExcept("*")
	_, err := b.put(ctx, key, body, bytes, opts)
	switch {
	case fault.Is(err, fault.Precondition):
		// The object is there: from another writer, or from a try of ours whose answer was lost.
		return false, b.sameContent(ctx, key, bytes, sum)
	case fault.Is(err, fault.Unavailable) && bytes > askFirstBytes:
		// Another writer may have been faster, and the refusal lost in a connection that was closed on our body.
		if same := b.sameContent(ctx, key, bytes, sum); same == nil || fault.Is(same, fault.Conflict) {
			return false, same
		}
	}
	return err == nil, err
}

// Put stores a small document over what was there.
func (b *Bucket) Put(ctx context.Context, key string, data []byte, contentType string) error {
	if err := checkKey(key); err != nil {
		return err
	}
	_, err := b.put(ctx, key, bytes.NewReader(data), int64(len(data)), putOptions(sha256.Sum256(data), contentType))
	return err
}

// PutIfMatch stores a small document when the one there has this etag.
func (b *Bucket) PutIfMatch(ctx context.Context, key string, data []byte, etag string) (string, error) {
	if err := checkKey(key); err != nil {
		return "", err
	}
	opts := putOptions(sha256.Sum256(data), "application/json")
	if etag == "" {
		opts.SetMatchETagExcept("*")
	} else {
		opts.SetMatchETag(etag)
	}
	info, err := b.put(ctx, key, bytes.NewReader(data), int64(len(data)), opts)
	if fault.Is(err, fault.NotFound) { // If-Match on an object that is gone
		return "", stale(key)
	}
	return info.ETag, err
}

// put sends one part, again after a 409.
func (b *Bucket) put(ctx context.Context, key string, body io.ReadSeeker, bytes int64,
	opts minio.PutObjectOptions) (minio.UploadInfo, error) {
	ctx, cancel := context.WithTimeout(ctx, callTimeout+time.Duration(bytes/slowest)*time.Second)
	defer cancel()
	for try := 1; ; try++ {
		if _, err := body.Seek(0, io.SeekStart); err != nil {
			return minio.UploadInfo{}, fmt.Errorf("object %s: %w", key, err)
		}
		info, err := b.client.PutObject(ctx, b.name, key, body, bytes, opts)
		if minio.ToErrorResponse(err).StatusCode != http.StatusConflict || try == conflictTries {
			return info, bucketFault(key, err)
		}
		select {
		case <-ctx.Done():
			return info, fmt.Errorf("object %s: %w", key, ctx.Err())
		case <-time.After(conflictPause * time.Duration(try)):
		}
	}
}

// sameContent tells the second writer of a key whether it wrote what is there. Where the store did not keep the
// SHA-256 the object is read.
func (b *Bucket) sameContent(ctx context.Context, key string, bytes int64, sum [32]byte) error {
	info, err := b.Stat(ctx, key)
	if err != nil {
		return err
	}
	if info.Bytes != bytes {
		return otherContent(key)
	}
	if info.SHA256 == "" {
		if info.SHA256, err = b.readSum(ctx, key); err != nil {
			return err
		}
	}
	if info.SHA256 != hex.EncodeToString(sum[:]) {
		return otherContent(key)
	}
	return nil
}

func (b *Bucket) readSum(ctx context.Context, key string) (string, error) {
	body, _, err := b.Get(ctx, key)
	if err != nil {
		return "", err
	}
	defer body.Close()
	hash := sha256.New()
	if _, err := io.Copy(hash, body); err != nil {
		return "", err
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
}

// putOptions asks for one part and sends the SHA-256 as a header, which the server compares and keeps.
func putOptions(sum [32]byte, contentType string) minio.PutObjectOptions {
	return minio.PutObjectOptions{
		ContentType:      contentType,
		DisableMultipart: true,
		UserMetadata:     map[string]string{"x-amz-checksum-sha256": base64.StdEncoding.EncodeToString(sum[:])},
	}
}
