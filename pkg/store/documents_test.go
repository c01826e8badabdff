package store_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/store"
)

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

func nothingBelowAnObject(t *testing.T, s store.Store) {
	once(t, s, "below/film", []byte("x"))
	_, err := s.Stat(t.Context(), "below/film/part")
	wantKind(t, err, fault.NotFound)
	_, _, err = s.Get(t.Context(), "below/film/part")
	wantKind(t, err, fault.NotFound)
	if err := s.Delete(t.Context(), "below/film/part"); err != nil {
		t.Fatal(err)
	}
	if found, err := s.List(t.Context(), "below/film/", "", 5); err != nil || len(found) > 0 {
		t.Fatalf("listed %v, %v", found, err)
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
