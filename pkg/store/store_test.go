package store_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"slices"
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
	for _, s := range []struct {
		name  string
		store store.Store
	}{{"directory", dir}, {"bucket", bucket}} {
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
	_, err := s.PutOnce(t.Context(), "big/film", bytes.NewReader(data), int64(len(data)), sha256.Sum256(data), "text/plain")
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
	for _, key := range []string{"", "/a", "a/", "a//b", "a/../b", "t1/../t2/film", "..", "a/./b", "./a", ".hidden", "a/.b",
		"A", "ä", "a b", "a\\b", "a\x00b", "a%2e%2e", strings.Repeat("x", 201), strings.Repeat("x/", 500) + "x"} {
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

func putIfMatch(t *testing.T, s store.Store) {
	ctx := t.Context()
	_, err := s.PutIfMatch(ctx, "doc/inks.json", []byte("v0"), "feedfeed")
	wantKind(t, err, fault.Precondition)
	first, err := s.PutIfMatch(ctx, "doc/inks.json", []byte("v1"), "")
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.PutIfMatch(ctx, "doc/inks.json", []byte("v2"), "")
	wantKind(t, err, fault.Precondition)
	second, err := s.PutIfMatch(ctx, "doc/inks.json", []byte("v2"), first)
	if err != nil || second == first {
		t.Fatalf("etag %q after %q, %v", second, first, err)
	}
	_, err = s.PutIfMatch(ctx, "doc/inks.json", []byte("v3"), first)
	wantKind(t, err, fault.Precondition)
	if got := read(t, s, "doc/inks.json"); string(got) != "v2" {
		t.Fatalf("the document is %q", got)
	}
	if info, err := s.Stat(ctx, "doc/inks.json"); err != nil || info.ETag != second {
		t.Fatalf("etag %q, want %q, %v", info.ETag, second, err)
	}
}

func oneOfSixteenReplaces(t *testing.T, s store.Store) {
	etag, err := s.PutIfMatch(t.Context(), "doc/race.json", []byte("start"), "")
	if err != nil {
		t.Fatal(err)
	}
	var won atomic.Int32
	var group sync.WaitGroup
	for i := range 16 {
		group.Go(func() {
			_, err := s.PutIfMatch(context.Background(), "doc/race.json", fmt.Appendf(nil, "by %d", i), etag)
			if err == nil {
				won.Add(1)
			} else if !fault.Is(err, fault.Precondition) {
				t.Error(err)
			}
		})
	}
	group.Wait()
	if won.Load() != 1 {
		t.Fatalf("%d replacements of one version won", won.Load())
	}
}

func ranges(t *testing.T, s store.Store) {
	once(t, s, "range/film", []byte("0123456789"))
	for _, r := range []struct {
		off, n int64
		want   string
	}{{0, 10, "0123456789"}, {2, 4, "2345"}, {8, 5, "89"}, {3, 0, ""}, {9, 1, "9"}} {
		body, info, err := s.GetRange(t.Context(), "range/film", r.off, r.n)
		if err != nil {
			t.Fatalf("%+v: %v", r, err)
		}
		got, err := io.ReadAll(body)
		body.Close()
		if err != nil || string(got) != r.want || info.Bytes != 10 {
			t.Errorf("%+v: got %q of %d bytes, %v", r, got, info.Bytes, err)
		}
	}
	for _, off := range []int64{-1, 10, 11} {
		_, _, err := s.GetRange(t.Context(), "range/film", off, 1)
		wantKind(t, err, fault.Invalid)
	}
	_, _, err := s.GetRange(t.Context(), "range/none", 0, 1)
	wantKind(t, err, fault.NotFound)
}

func listing(t *testing.T, s store.Store) {
	var want []string
	for _, name := range []string{"a", "a-b/x", "a.b", "a/x", "a/y/z", "a0", "b/1", "b/10", "b/2", "c_d"} {
		if name == "a" {
			name = "a_" // a name cannot be a file and a folder in a store over a file tree
		}
		want = append(want, "list/"+name)
		once(t, s, "list/"+name, []byte(name))
	}
	slices.Sort(want)
	keys := func(prefix, after string, limit int) []string {
		found, err := s.List(t.Context(), prefix, after, limit)
		if err != nil {
			t.Fatal(err)
		}
		var keys []string
		for _, info := range found {
			if info.Bytes == 0 || info.Modified.IsZero() {
				t.Errorf("listing gives %+v", info)
			}
			keys = append(keys, info.Key)
		}
		return keys
	}
	if got := keys("list/", "", 100); !slices.Equal(got, want) {
		t.Fatalf("got  %q\nwant %q", got, want)
	}
	for limit := 1; limit < 5; limit++ {
		var got []string
		for after := ""; ; after = got[len(got)-1] {
			page := keys("list/", after, limit)
			if got = append(got, page...); len(page) < limit {
				break
			}
		}
		if !slices.Equal(got, want) {
			t.Fatalf("pages of %d give %q", limit, got)
		}
	}
	if got := keys("list/b/1", "", 100); !slices.Equal(got, []string{"list/b/1", "list/b/10"}) {
		t.Fatalf("prefix inside a name gives %q", got)
	}
	if got := keys("list/a", "list/a/", 2); !slices.Equal(got, []string{"list/a/x", "list/a/y/z"}) {
		t.Fatalf("after a folder's name comes %q", got)
	}
	if got := keys("list/", "list/a0", 2); !slices.Equal(got, want[slices.Index(want, "list/a0")+1:][:2]) {
		t.Fatalf("after list/a0 comes %q", got)
	}
	if got := keys("nothing/here/", "", 5); got != nil {
		t.Fatalf("an empty prefix holds %q", got)
	}
	_, err := s.List(t.Context(), "list/../", "", 5)
	wantKind(t, err, fault.Internal)
}

func deleting(t *testing.T, s store.Store) {
	once(t, s, "delete/me", []byte("x"))
	for range 2 {
		if err := s.Delete(t.Context(), "delete/me"); err != nil {
			t.Fatal(err)
		}
	}
	_, _, err := s.Get(t.Context(), "delete/me")
	wantKind(t, err, fault.NotFound)
	if !once(t, s, "delete/me", []byte("again")) {
		t.Fatal("a deleted key cannot be created again")
	}
	if got := read(t, s, "delete/me"); string(got) != "again" {
		t.Fatalf("got %q", got)
	}
}

func emptyObject(t *testing.T, s store.Store) {
	if !once(t, s, "empty/film", nil) || once(t, s, "empty/film", nil) {
		t.Fatal("an empty object must be created once")
	}
	if got := read(t, s, "empty/film"); len(got) != 0 {
		t.Fatalf("got %q", got)
	}
}

func canceledContext(t *testing.T, s store.Store) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	data := []byte("x")
	_, err := s.PutOnce(ctx, "cancel/film", bytes.NewReader(data), 1, sha256.Sum256(data), "text/plain")
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("PutOnce: %v", err)
	}
	if _, err := s.Stat(ctx, "cancel/film"); !errors.Is(err, context.Canceled) {
		t.Fatalf("Stat: %v", err)
	}
	_, err = s.Stat(t.Context(), "cancel/film")
	wantKind(t, err, fault.NotFound)
}

func selfTestPasses(t *testing.T, s store.Store) {
	if err := store.SelfTest(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	if left, err := s.List(t.Context(), "selftest/", "", 10); err != nil || len(left) > 0 {
		t.Fatalf("left behind: %v, %v", left, err)
	}
}
