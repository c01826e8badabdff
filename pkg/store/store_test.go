package store_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tamis/deploy/servers"
	"tamis/pkg/fault"
	"tamis/pkg/store"
)

// TestStoresKeepTheirPromises runs every promise of the interface on both stores.
func TestStoresKeepTheirPromises(t *testing.T) {
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	bucket := openBucket(t, servers.S3(t))
	secureServer, transport := servers.S3TLS(t)
	secure := openBucketWith(t, secureServer, func(c *store.BucketConfig) { c.Secure, c.Transport = true, transport })
	for _, s := range []struct {
		name  string
		store store.Store
	}{{"directory", dir}, {"bucket", bucket}, {"bucket over TLS", secure}} {
		t.Run(s.name, func(t *testing.T) {
			for _, promise := range promises {
				t.Run(promise.name, func(t *testing.T) { promise.try(t, s.store) })
			}
		})
	}
}

var promises = []struct {
	name string
	try  func(*testing.T, store.Store)
}{
	{"an object comes back whole with its hash", comesBackWhole},
	{"the second put of the same bytes changes nothing", secondPutIsNoChange},
	{"other bytes under a key are a conflict", otherBytesConflict},
	{"of sixteen concurrent puts one creates", oneOfSixteenCreates},
	{"of sixteen concurrent puts of different bytes one stays", oneOfSixteenStays},
	{"40 MB go in one part and are refused the second time", bigSinglePart},
	{"a wrong hash or length is refused and leaves nothing", wrongHashLeavesNothing},
	{"keys that are not ours are refused", foreignKeysRefused},
	{"a document is replaced only by who read it", putIfMatch},
	{"of sixteen concurrent replacements one wins", oneOfSixteenReplaces},
	{"ranges come from the middle and stop at the end", ranges},
	{"a listing is in byte order and can be continued", listing},
	{"what is deleted is gone, and deleting again is fine", deleting},
	{"below an object there is nothing", nothingBelowAnObject},
	{"an empty object is an object", emptyObject},
	{"a cancelled context stops a call", canceledContext},
	{"the self-test passes and cleans up", selfTestPasses},
}

func openBucket(t testing.TB, s servers.S3Server) *store.Bucket {
	t.Helper()
	return openBucketWith(t, s, func(*store.BucketConfig) {})
}

func openBucketWith(t testing.TB, s servers.S3Server, change func(*store.BucketConfig)) *store.Bucket {
	t.Helper()
	cfg := store.BucketConfig{Endpoint: s.Endpoint, Bucket: "films", AccessKey: s.AccessKey, SecretKey: s.SecretKey}
	change(&cfg)
	bucket, err := store.OpenBucket(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	return bucket
}

// once puts data under key and fails the test on an error.
func once(t *testing.T, s store.Store, key string, data []byte) bool {
	t.Helper()
	created, err := s.PutOnce(t.Context(), key, bytes.NewReader(data), int64(len(data)), sha256.Sum256(data), "text/plain")
	if err != nil {
		t.Fatalf("PutOnce %s: %v", key, err)
	}
	return created
}

func read(t *testing.T, s store.Store, key string) []byte {
	t.Helper()
	data, _, err := store.ReadAll(t.Context(), s, key, 1<<30)
	if err != nil {
		t.Fatalf("reading %s: %v", key, err)
	}
	return data
}

func wantKind(t *testing.T, err error, kind fault.Kind) {
	t.Helper()
	if !fault.Is(err, kind) {
		t.Fatalf("want a fault of kind %d, got %v", kind, err)
	}
}

func comesBackWhole(t *testing.T, s store.Store) {
	data := bytes.Repeat([]byte("film "), 50_000)
	if !once(t, s, "shops/a/films/whole.tiff", data) {
		t.Fatal("a new key was not created")
	}
	body, info, err := s.Get(t.Context(), "shops/a/films/whole.tiff")
	if err != nil {
		t.Fatal(err)
	}
	defer body.Close()
	got, err := io.ReadAll(body)
	if err != nil || !bytes.Equal(got, data) {
		t.Fatalf("%d bytes came back (%v), %d were put", len(got), err, len(data))
	}
	sum := sha256.Sum256(data)
	if info.SHA256 != hex.EncodeToString(sum[:]) || info.Bytes != int64(len(data)) || info.ETag == "" {
		t.Fatalf("info is %+v", info)
	}
	stat, err := s.Stat(t.Context(), "shops/a/films/whole.tiff")
	if err != nil || stat != info || time.Since(stat.Modified) > time.Hour {
		t.Fatalf("Stat gives %+v, %v; Get gave %+v", stat, err, info)
	}
}

func secondPutIsNoChange(t *testing.T, s store.Store) {
	data := []byte("the same film")
	once(t, s, "twice/film", data)
	before, err := s.Stat(t.Context(), "twice/film")
	if err != nil {
		t.Fatal(err)
	}
	if once(t, s, "twice/film", data) {
		t.Fatal("the second put says it created the object")
	}
	after, err := s.Stat(t.Context(), "twice/film")
	if err != nil || after != before {
		t.Fatalf("before %+v, after %+v, %v", before, after, err)
	}
}

func otherBytesConflict(t *testing.T, s store.Store) {
	once(t, s, "other/film", []byte("first"))
	for _, other := range []string{"later", "longer than the first"} {
		_, err := s.PutOnce(t.Context(), "other/film", strings.NewReader(other), int64(len(other)),
			sha256.Sum256([]byte(other)), "text/plain")
		wantKind(t, err, fault.Conflict)
	}
	if got := read(t, s, "other/film"); string(got) != "first" {
		t.Fatalf("the object is now %q", got)
	}
}

func oneOfSixteenCreates(t *testing.T, s store.Store) {
	data := bytes.Repeat([]byte("race"), 10_000)
	var created atomic.Int32
	var group sync.WaitGroup
	for range 16 {
		group.Go(func() {
			made, err := s.PutOnce(context.Background(), "race/same", bytes.NewReader(data), int64(len(data)),
				sha256.Sum256(data), "text/plain")
			if err != nil {
				t.Error(err)
			}
			if made {
				created.Add(1)
			}
		})
	}
	group.Wait()
	if created.Load() != 1 {
		t.Fatalf("%d puts say they created the object", created.Load())
	}
}

func oneOfSixteenStays(t *testing.T, s store.Store) {
	var winner atomic.Value
	var created, conflicts atomic.Int32
	var group sync.WaitGroup
	for i := range 16 {
		group.Go(func() {
			data := fmt.Appendf(nil, "writer %d", i)
			made, err := s.PutOnce(context.Background(), "race/different", bytes.NewReader(data), int64(len(data)),
				sha256.Sum256(data), "text/plain")
			switch {
			case fault.Is(err, fault.Conflict):
				conflicts.Add(1)
			case err == nil && made:
				created.Add(1)
				winner.Store(string(data))
			default:
				t.Errorf("created %t, %v", made, err)
			}
		})
	}
	group.Wait()
	if created.Load() != 1 || conflicts.Load() != 15 {
		t.Fatalf("%d created, %d conflicts", created.Load(), conflicts.Load())
	}
	if got := string(read(t, s, "race/different")); got != winner.Load() {
		t.Fatalf("%q says it won, %q is there", winner.Load(), got)
	}
}

// 40 MB: over the 16 MiB where minio-go would go multipart and drop the condition.
func bigSinglePart(t *testing.T, s store.Store) {
	data := make([]byte, 40_000_000)
	for i := range data {
		data[i] = byte(i >> 12)
	}
	if !once(t, s, "big/film", data) || once(t, s, "big/film", data) {
		t.Fatal("the first put must create, the second must not")
	}
	data[len(data)-1]++
	_, err := s.PutOnce(t.Context(), "big/film", bytes.NewReader(data), int64(len(data)), sha256.Sum256(data),
		"text/plain")
	wantKind(t, err, fault.Conflict)
	info, err := s.Stat(t.Context(), "big/film")
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)-1]--
	if sum := sha256.Sum256(data); info.SHA256 != hex.EncodeToString(sum[:]) {
		t.Fatal("the second put changed the object")
	}
	if strings.Contains(info.ETag, "-") {
		t.Fatalf("etag %s is a multipart upload's", info.ETag)
	}
}

func wrongHashLeavesNothing(t *testing.T, s store.Store) {
	data := []byte("what was sent")
	for name, put := range map[string]struct {
		bytes int64
		sum   [32]byte
	}{
		"hash":  {int64(len(data)), sha256.Sum256([]byte("what was promised"))},
		"short": {int64(len(data)) + 3, sha256.Sum256(data)},
	} {
		_, err := s.PutOnce(t.Context(), "damaged/"+name, bytes.NewReader(data), put.bytes, put.sum, "text/plain")
		if err == nil {
			t.Fatalf("%s: accepted", name)
		}
		_, err = s.Stat(t.Context(), "damaged/"+name)
		wantKind(t, err, fault.NotFound)
	}
}

func foreignKeysRefused(t *testing.T, s store.Store) {
	once(t, s, "t2/film", []byte("the other shop's"))
	data := []byte("evil")
	for _, key := range []string{"", "/a", "a/", "a//b", "a/../b", "t1/../t2/film", "..", "a/./b", "./a", ".hidden",
		"a/.b", "A", "ä", "a b", "a\\b", "a\x00b", "a%2e%2e", strings.Repeat("x", 201), strings.Repeat("x/", 500) + "x"} {
		ctx := t.Context()
		_, once := s.PutOnce(ctx, key, bytes.NewReader(data), 4, sha256.Sum256(data), "text/plain")
		_, match := s.PutIfMatch(ctx, key, data, "")
		_, _, get := s.Get(ctx, key)
		_, _, part := s.GetRange(ctx, key, 0, 1)
		_, stat := s.Stat(ctx, key)
		_, _, sign := s.PresignGet(ctx, key, "x", "text/plain", time.Minute)
		for i, err := range []error{once, s.Put(ctx, key, data, ""), match, get, part, stat, s.Delete(ctx, key), sign} {
			if err == nil || fault.Of(err).Code != "store_key" {
				t.Errorf("key %.40q, call %d: %v", key, i, err)
			}
		}
	}
	if got := read(t, s, "t2/film"); string(got) != "the other shop's" {
		t.Fatalf("the other shop's object is now %q", got)
	}
}
