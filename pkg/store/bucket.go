package store

import (
	"context"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"tamis/pkg/fault"
)

// BucketConfig says where a bucket is.
type BucketConfig struct {
	Endpoint       string            // host:port the programs reach; required
	PublicEndpoint string            // for presigned addresses: host:port, or with https:// before; "" = Endpoint
	Bucket         string            // required; made when it does not exist
	Region         string            // "" = us-east-1
	AccessKey      string            // required
	SecretKey      string            // required
	Secure         bool              // https
	Transport      http.RoundTripper // nil = minio-go's; tests put bad days here
}

// Bucket is a store in one bucket of an S3 server.
type Bucket struct {
	name   string
	client *minio.Client
	core   minio.Core
	signer *minio.Client // signs for the host callers reach; sends nothing
}

var _ Store = (*Bucket)(nil)

// callTimeout bounds a call that moves no body. A store that takes longer is down for us.
const callTimeout = 20 * time.Second

// maxTries is how often minio-go sends a request: its default of 10 outlasts a job's lease.
const maxTries = 3

// OpenBucket connects to a bucket and makes it when it does not exist.
func OpenBucket(ctx context.Context, cfg BucketConfig) (*Bucket, error) {
	if cfg.Region == "" {
		cfg.Region = "us-east-1" // an empty region costs one request a bucket to find it
	}
	client, err := newClient(cfg, cfg.Endpoint, cfg.Secure)
	if err != nil {
		return nil, fmt.Errorf("S3 endpoint %q: %w", cfg.Endpoint, err)
	}
	b := &Bucket{name: cfg.Bucket, client: client, core: minio.Core{Client: client}, signer: client}
	if cfg.PublicEndpoint != "" {
		if b.signer, err = newClient(cfg, publicHost(cfg), publicSecure(cfg)); err != nil {
			return nil, fmt.Errorf("public S3 endpoint %q: %w", cfg.PublicEndpoint, err)
		}
	}
	if err := b.ensure(ctx, cfg.Region); err != nil {
		return nil, fmt.Errorf("bucket %q at %s: %w", cfg.Bucket, cfg.Endpoint, err)
	}
	return b, nil
}

// newClient makes a client. minio-go asks for TrailingHeaders before it sends any checksum; since every put of ours
// brings its SHA-256 as a header in one part, no trailer is ever sent, which some servers refuse over plain HTTP.
func newClient(cfg BucketConfig, endpoint string, secure bool) (*minio.Client, error) {
	return minio.New(endpoint, &minio.Options{
		Creds:        credentials.NewStaticV4(cfg.AccessKey, cfg.SecretKey, ""),
		Secure:       secure,
		Transport:    cfg.Transport,
		Region:       cfg.Region,
		BucketLookup: minio.BucketLookupPath,
		MaxRetries:   maxTries,

		TrailingHeaders: true,
	})
}

// publicHost is the public endpoint without its scheme.
func publicHost(cfg BucketConfig) string {
	return strings.TrimPrefix(strings.TrimPrefix(cfg.PublicEndpoint, "http://"), "https://")
}

// publicSecure tells whether callers come by https: as the scheme says, without one as the programs do.
func publicSecure(cfg BucketConfig) bool {
	if strings.HasPrefix(cfg.PublicEndpoint, "http://") {
		return false
	}
	return cfg.Secure || strings.HasPrefix(cfg.PublicEndpoint, "https://")
}

func (b *Bucket) ensure(ctx context.Context, region string) error {
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	exists, err := b.client.BucketExists(ctx, b.name)
	if err != nil || exists {
		return err
	}
	err = b.client.MakeBucket(ctx, b.name, minio.MakeBucketOptions{Region: region})
	switch minio.ToErrorResponse(err).Code {
	case "BucketAlreadyOwnedByYou", "BucketAlreadyExists":
		return nil // another process was faster
	}
	return err
}

// Get opens an object.
func (b *Bucket) Get(ctx context.Context, key string) (io.ReadCloser, Info, error) {
	if err := checkKey(key); err != nil {
		return nil, Info{}, err
	}
	body, object, _, err := b.core.GetObject(ctx, b.name, key, minio.GetObjectOptions{Checksum: true})
	if err != nil {
		return nil, Info{}, bucketFault(key, err)
	}
	info := b.info(key, object)
	return verify(body, info), info, nil
}

// GetRange opens n bytes of an object from off on. The Info's Bytes is the whole object's.
func (b *Bucket) GetRange(ctx context.Context, key string, off, n int64) (io.ReadCloser, Info, error) {
	info, err := b.Stat(ctx, key)
	if err != nil {
		return nil, Info{}, err
	}
	if off < 0 || n < 0 || off >= info.Bytes {
		return nil, Info{}, pastEnd(key, off, info.Bytes)
	}
	if n == 0 {
		return http.NoBody, info, nil
	}
	n = min(n, info.Bytes-off)
	var opts minio.GetObjectOptions
	if err := errors.Join(opts.SetRange(off, off+n-1), opts.SetMatchETag(info.ETag)); err != nil {
		return nil, Info{}, bucketFault(key, err)
	}
	body, _, _, err := b.core.GetObject(ctx, b.name, key, opts)
	if err != nil {
		return nil, Info{}, bucketFault(key, err)
	}
	return verify(body, Info{Key: key, Bytes: n}), info, nil
}

// Stat describes an object.
func (b *Bucket) Stat(ctx context.Context, key string) (Info, error) {
	if err := checkKey(key); err != nil {
		return Info{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	object, err := b.client.StatObject(ctx, b.name, key, minio.StatObjectOptions{Checksum: true})
	if err != nil {
		return Info{}, bucketFault(key, err)
	}
	return b.info(key, object), nil
}

// List gives up to limit objects whose key starts with prefix and is greater than after.
func (b *Bucket) List(ctx context.Context, prefix, after string, limit int) ([]Info, error) {
	if err := checkPrefix(prefix); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	opts := minio.ListObjectsOptions{Prefix: prefix, StartAfter: after, Recursive: true, MaxKeys: min(limit, 1000)}
	var found []Info
	for object := range b.client.ListObjectsIter(ctx, b.name, opts) {
		if object.Err != nil {
			return nil, bucketFault(prefix, object.Err)
		}
		if len(found) >= limit {
			break
		}
		info := b.info(object.Key, object)
		info.SHA256 = ""
		found = append(found, info)
	}
	return found, nil
}

// Delete removes an object.
func (b *Bucket) Delete(ctx context.Context, key string) error {
	if err := checkKey(key); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	err := b.client.RemoveObject(ctx, b.name, key, minio.RemoveObjectOptions{})
	if err = bucketFault(key, err); fault.Is(err, fault.NotFound) {
		return nil
	}
	return err
}

// PresignGet makes an address for the object, signed for the host that callers reach; ttl is 1 s to 7 days.
func (b *Bucket) PresignGet(ctx context.Context, key, filename, contentType string, ttl time.Duration) (string, bool,
	error) {
	if err := checkKey(key); err != nil {
		return "", false, err
	}
	params := url.Values{}
	params.Set("response-content-disposition", mime.FormatMediaType("attachment", map[string]string{"filename": filename}))
	params.Set("response-content-type", contentType)
	signed, err := b.signer.PresignedGetObject(ctx, b.name, key, ttl, params)
	if err != nil {
		return "", false, bucketFault(key, err)
	}
	return signed.String(), true, nil
}

// info reads what the server said of an object. A checksum that does not decode is left out: it is not ours.
func (b *Bucket) info(key string, object minio.ObjectInfo) Info {
	info := Info{Key: key, Bytes: object.Size, Modified: object.LastModified.UTC(), ETag: object.ETag}
	if sum, err := base64.StdEncoding.DecodeString(object.ChecksumSHA256); err == nil && len(sum) == 32 {
		info.SHA256 = hex.EncodeToString(sum)
	}
	return info
}

// bucketFault gives an S3 error its kind. A cancelled context stays what it is, so that callers see their own stop.
func bucketFault(key string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, context.Canceled):
		return fmt.Errorf("object %s: %w", key, err)
	}
	switch answer := minio.ToErrorResponse(err); {
	case answer.Code == "NoSuchKey" || answer.StatusCode == http.StatusNotFound && answer.Code != "NoSuchBucket":
		return notFound(key)
	case answer.StatusCode == http.StatusPreconditionFailed:
		return stale(key)
	case answer.Code == "BadDigest" || answer.Code == "XAmzContentSHA256Mismatch":
		return damaged(key, "the store says its SHA-256 differs")
	}
	return fault.Wrap(err, fault.Unavailable, "store_unavailable", "the object store does not answer")
}
