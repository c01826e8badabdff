package store_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tamis/deploy/servers"
	"tamis/pkg/fault"
	"tamis/pkg/store"
)

// badDay is a transport that can spoil a request or its answer on the way to a real server.
type badDay struct {
	before func(*http.Request) (*http.Response, error) // answers in place of the server, unless nil, nil
	after  func(*http.Request, *http.Response) (*http.Response, error)
	sent   atomic.Int32
}

func (b *badDay) RoundTrip(r *http.Request) (*http.Response, error) {
	b.sent.Add(1)
	if b.before != nil {
		if answer, err := b.before(r); answer != nil || err != nil {
			return answer, err
		}
	}
	answer, err := http.DefaultTransport.RoundTrip(r)
	if err != nil || b.after == nil {
		return answer, err
	}
	return b.after(r, answer)
}

func badBucket(t *testing.T, s servers.S3Server) (*store.Bucket, *badDay) {
	day := &badDay{}
	return openBucketWith(t, s, func(c *store.BucketConfig) { c.Transport = day }), day
}

// answer makes an S3 error answer of its own.
func answer(r *http.Request, status int, code string) *http.Response {
	if r.Body != nil {
		_, _ = io.Copy(io.Discard, r.Body)
		r.Body.Close()
	}
	body := "<Error><Code>" + code + "</Code><Message>bad day</Message></Error>"
	return &http.Response{StatusCode: status, Status: http.StatusText(status), Proto: "HTTP/1.1", ProtoMajor: 1,
		ProtoMinor: 1, Header: http.Header{"Content-Type": {"application/xml"}}, Request: r,
		ContentLength: int64(len(body)), Body: io.NopCloser(strings.NewReader(body))}
}

func TestBucketOnBadDays(t *testing.T) {
	s := servers.S3(t)
	for _, day := range []struct {
		name string
		try  func(*testing.T, *store.Bucket, *badDay)
	}{
		{"a put whose answer was lost is found to be there", lostAnswer},
		{"409 is tried again and never taken for exists", conflictIsRetried},
		{"a store that stays away is unavailable after three tries", staysAway},
		{"a body cut short is no whole object", cutShort},
		{"a body with a flipped bit is no whole object", flippedBit},
		{"a store that keeps no hash is read to compare", keepsNoHash},
		{"the self-test names a store without conditional puts", noConditions},
		{"the self-test names a store without checksums", noChecksums},
	} {
		t.Run(day.name, func(t *testing.T) {
			bucket, spoil := badBucket(t, s)
			day.try(t, bucket, spoil)
		})
	}
}

func lostAnswer(t *testing.T, s *store.Bucket, day *badDay) {
	puts := 0
	day.after = func(r *http.Request, a *http.Response) (*http.Response, error) {
		if r.Method == http.MethodPut {
			if puts++; puts == 1 {
				a.Body.Close()
				return nil, errors.New("read: connection reset by peer")
			}
		}
		return a, nil
	}
	data := bytes.Repeat([]byte("film"), 1000)
	if created := once(t, s, "lost/answer", data); created || puts != 2 {
		t.Fatalf("created %t after %d puts; the first put had created it", created, puts)
	}
	if !bytes.Equal(read(t, s, "lost/answer"), data) {
		t.Fatal("the object differs")
	}
}

func conflictIsRetried(t *testing.T, s *store.Bucket, day *badDay) {
	puts := 0
	day.before = func(r *http.Request) (*http.Response, error) {
		if r.Method == http.MethodPut {
			if puts++; puts <= 2 {
				return answer(r, http.StatusConflict, "ConditionalRequestConflict"), nil
			}
		}
		return nil, nil
	}
	if !once(t, s, "conflict/409", []byte("film")) || puts != 3 {
		t.Fatalf("%d puts, the third must create", puts)
	}
}

func staysAway(t *testing.T, s *store.Bucket, day *badDay) {
	day.before = func(r *http.Request) (*http.Response, error) {
		return answer(r, http.StatusServiceUnavailable, "SlowDown"), nil
	}
	day.sent.Store(0)
	data := []byte("film")
	_, err := s.PutOnce(t.Context(), "away/film", bytes.NewReader(data), 4, sha256.Sum256(data), "text/plain")
	wantKind(t, err, fault.Unavailable)
	if n := day.sent.Load(); n != 3 {
		t.Fatalf("%d tries; a job's lease has room for 3", n)
	}
}

func cutShort(t *testing.T, s *store.Bucket, day *badDay) {
	once(t, s, "cut/film", bytes.Repeat([]byte("x"), 100_000))
	day.after = func(r *http.Request, a *http.Response) (*http.Response, error) {
		if r.Method == http.MethodGet {
			a.Body = io.NopCloser(io.LimitReader(a.Body, 60_000))
		}
		return a, nil
	}
	_, _, err := store.ReadAll(t.Context(), s, "cut/film", 1<<20)
	wantKind(t, err, fault.Unavailable)
	body, _, err := s.GetRange(t.Context(), "cut/film", 10, 80_000)
	if err != nil {
		t.Fatal(err)
	}
	defer body.Close()
	_, err = io.ReadAll(body)
	wantKind(t, err, fault.Unavailable)
}

func flippedBit(t *testing.T, s *store.Bucket, day *badDay) {
	once(t, s, "flip/film", []byte("0123456789"))
	day.after = func(r *http.Request, a *http.Response) (*http.Response, error) {
		if r.Method == http.MethodGet {
			a.Body = io.NopCloser(strings.NewReader("0123456788"))
		}
		return a, nil
	}
	_, _, err := store.ReadAll(t.Context(), s, "flip/film", 1<<20)
	wantKind(t, err, fault.Unavailable)
}

func keepsNoHash(t *testing.T, s *store.Bucket, day *badDay) {
	day.after = func(r *http.Request, a *http.Response) (*http.Response, error) {
		a.Header.Del("x-amz-checksum-sha256")
		return a, nil
	}
	if !once(t, s, "nohash/film", []byte("0123456789")) || once(t, s, "nohash/film", []byte("0123456789")) {
		t.Fatal("the first put must create, the second must not")
	}
	other := []byte("0123456788")
	_, err := s.PutOnce(t.Context(), "nohash/film", bytes.NewReader(other), 10, sha256.Sum256(other), "text/plain")
	wantKind(t, err, fault.Conflict)
}

func noConditions(t *testing.T, s *store.Bucket, day *badDay) {
	day.before = func(r *http.Request) (*http.Response, error) {
		if r.Method == http.MethodPut && r.Header.Get("If-None-Match") != "" && strings.Contains(r.URL.Path, "/once") {
			_, _ = io.Copy(io.Discard, r.Body)
			a := answer(r, http.StatusOK, "")
			a.Header.Set("ETag", `"feed"`)
			return a, nil
		}
		return nil, nil
	}
	err := store.SelfTest(t.Context(), s)
	if err == nil || !strings.Contains(err.Error(), "If-None-Match") || strings.Contains(err.Error(), "\n") {
		t.Fatalf("the self-test says: %v", err)
	}
}

func noChecksums(t *testing.T, s *store.Bucket, day *badDay) {
	day.before = func(r *http.Request) (*http.Response, error) {
		if r.Method == http.MethodPut && strings.HasSuffix(r.URL.Path, "/sum") {
			_, _ = io.Copy(io.Discard, r.Body)
			a := answer(r, http.StatusOK, "")
			a.Header.Set("ETag", `"feed"`)
			return a, nil
		}
		return nil, nil
	}
	err := store.SelfTest(t.Context(), s)
	if err == nil || !strings.Contains(err.Error(), "SHA-256") || strings.Contains(err.Error(), "\n") {
		t.Fatalf("the self-test says: %v", err)
	}
}

func TestPresignedAddressGivesRangesUnderAName(t *testing.T) {
	bucket := openBucket(t, servers.S3(t))
	once(t, bucket, "signed/film", []byte("0123456789"))
	address, ok, err := bucket.PresignGet(t.Context(), "signed/film", "01 wine rot.tiff", "image/tiff", time.Minute)
	if err != nil || !ok {
		t.Fatalf("%t, %v", ok, err)
	}
	request, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("Range", "bytes=3-5")
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	if err != nil || response.StatusCode != http.StatusPartialContent || string(body) != "345" {
		t.Fatalf("%s %q, %v", response.Status, body, err)
	}
	if got := response.Header.Get("Content-Disposition"); got != `attachment; filename="01 wine rot.tiff"` {
		t.Errorf("disposition %q", got)
	}
	if got := response.Header.Get("Content-Type"); got != "image/tiff" {
		t.Errorf("type %q", got)
	}
	if _, _, err := bucket.PresignGet(t.Context(), "signed/film", "x", "image/tiff", 8*24*time.Hour); err == nil {
		t.Error("eight days were signed; the protocol allows seven")
	}
}

func TestPresignedAddressIsSignedForThePublicHost(t *testing.T) {
	s := servers.S3(t)
	for endpoint, want := range map[string]string{"": "http://" + s.Endpoint,
		"films.example.org:9000":    "http://films.example.org:9000",
		"https://films.example.org": "https://films.example.org", "http://films.example.org": "http://films.example.org"} {
		bucket := openBucketWith(t, s, func(c *store.BucketConfig) { c.PublicEndpoint = endpoint })
		once(t, bucket, "signed/film", []byte("x"))
		address, _, err := bucket.PresignGet(t.Context(), "signed/film", "x.tiff", "image/tiff", time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		if u, err := url.Parse(address); err != nil || u.Scheme+"://"+u.Host != want {
			t.Errorf("public endpoint %q: signed for %s", endpoint, address)
		}
	}
}

func TestDirRemovesWhatACrashLeftAndKeepsTheObjects(t *testing.T) {
	root := t.TempDir()
	dir, err := store.OpenDir(root)
	if err != nil {
		t.Fatal(err)
	}
	once(t, dir, "kept/film", []byte("film"))
	left, young := filepath.Join(root, "tmp", "put-123"), filepath.Join(root, "tmp", "put-456")
	yesterday := time.Now().Add(-24 * time.Hour)
	if err := errors.Join(os.WriteFile(left, []byte("half a fi"), 0o644), os.Chtimes(left, yesterday, yesterday),
		os.WriteFile(young, []byte("another process's"), 0o644)); err != nil {
		t.Fatal(err)
	}
	if dir, err = store.OpenDir(root); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(left); !errors.Is(err, os.ErrNotExist) {
		t.Fatalf("the half-written file is still there: %v", err)
	}
	if _, err := os.Stat(young); err != nil {
		t.Fatalf("a file being written was removed: %v", err)
	}
	if got := read(t, dir, "kept/film"); string(got) != "film" {
		t.Fatalf("the object is %q", got)
	}
}

func TestDirNoticesAFileChangedBehindItsBack(t *testing.T) {
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	once(t, dir, "bits/film", []byte("0123456789"))
	before, err := os.Stat(dir.Path("bits/film"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(dir.Path("bits/film"), []byte("0123456788"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(dir.Path("bits/film"), before.ModTime(), before.ModTime()); err != nil {
		t.Fatal(err)
	}
	_, _, err = store.ReadAll(t.Context(), dir, "bits/film", 1<<20) // rotten bits: time and length say nothing
	wantKind(t, err, fault.Unavailable)
	if err := os.Chtimes(dir.Path("bits/film"), time.Now(), time.Now()); err != nil {
		t.Fatal(err)
	}
	if got := read(t, dir, "bits/film"); string(got) != "0123456788" { // an edit: its hash is taken anew
		t.Fatalf("got %q", got)
	}
}

func TestReadAllRefusesADocumentOverTheLimit(t *testing.T) {
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	once(t, dir, "big/doc", make([]byte, 1001))
	_, _, err = store.ReadAll(t.Context(), dir, "big/doc", 1000)
	wantKind(t, err, fault.TooLarge)
}
