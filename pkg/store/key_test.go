package store

import (
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/pkg/fault"
)

// FuzzKeysStayInTheirFolder shows that an accepted key names one file below its folder, whatever a file tree makes of
// dots and slashes, and that a refused one is called our own bug.
func FuzzKeysStayInTheirFolder(f *testing.F) {
	for _, key := range []string{"shops/a/films/1.tiff", "a/../b", "../x", "a//b", ".x", "a/./b", "a/b/", "A", "é", ""} {
		f.Add(key)
	}
	dir := &Dir{root: "/data"}
	f.Fuzz(func(t *testing.T, key string) {
		if err := checkKey(key); err != nil {
			if !fault.Is(err, fault.Internal) {
				t.Fatalf("%q: %v", key, err)
			}
			return
		}
		if path.Clean("/"+key) != "/"+key || dir.Path(key) != filepath.Join("/data/objects", key) ||
			!strings.HasPrefix(dir.Path(key), "/data/objects/") {
			t.Fatalf("%q is kept in %s", key, dir.Path(key))
		}
	})
}

// TestDirListsLikeASortedSet compares listings with the definition: sort all keys, keep those with the prefix after
// the position, cut at the limit.
func TestDirListsLikeASortedSet(t *testing.T) {
	part := rapid.StringMatching(`[a-b0._-]{1,2}`).Filter(func(s string) bool { return s[0] != '.' })
	key := rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(part, 1, 3).Draw(t, "parts"), "/")
	})
	root := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := OpenDir(filepath.Join(root, rapid.StringMatching(`[a-z]{20}`).Draw(rt, "folder")))
		if err != nil {
			rt.Fatal(err)
		}
		var keys []string
		for _, k := range rapid.SliceOfNDistinct(key, 0, 12, rapid.ID[string]).Draw(rt, "keys") {
			if dir.Put(t.Context(), k, []byte("x"), "") == nil { // a name cannot be a file and a folder
				keys = append(keys, k)
			}
		}
		slices.Sort(keys)
		slash := func(s string) string { return s + "/" }
		prefix := rapid.OneOf(rapid.Just(""), part, rapid.Map(part, slash)).Draw(rt, "prefix")
		after := rapid.OneOf(rapid.Just(""), key, rapid.Map(key, slash)).Draw(rt, "after")
		limit := rapid.IntRange(1, 5).Draw(rt, "limit")
		var want []string
		for _, k := range keys {
			if strings.HasPrefix(k, prefix) && k > after && len(want) < limit {
				want = append(want, k)
			}
		}
		found, err := dir.List(t.Context(), prefix, after, limit)
		if err != nil {
			rt.Fatal(err)
		}
		var got []string
		for _, info := range found {
			got = append(got, info.Key)
		}
		if !slices.Equal(got, want) {
			rt.Fatalf("keys %q, prefix %q, after %q, limit %d:\ngot  %q\nwant %q", keys, prefix, after, limit, got, want)
		}
	})
}
