// Package library keeps Tamis's own documents in an object store: artwork with its inspection, a shop's settings, the
// document a job is made from, and the results jobs answer with.
//
// In go trade types, out they come again; between lies a store.Store. Keys are ids and hashes of our making, every one
// under its shop's prefix. Results are addressed by the hash of what made them, so the same work done twice is one
// result, and the same order asked again is answered from it. It knows no HTTP and no queue.
package library

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"regexp"

	lru "github.com/hashicorp/golang-lru/v2"

	"tamis/pkg/fault"
	"tamis/pkg/store"
)

// ShopID names a shop; ArtworkID an artwork of a shop; WorkID what a result was made from. They are types of their own
// so that none is given for another.
type (
	ShopID    string
	ArtworkID string
	WorkID    string
)

// DefaultShop is the shop that calls act for when no key is configured.
const DefaultShop ShopID = "default"

// maxDocument bounds a document read back: an inspection with its preview is the largest.
const maxDocument = 32 << 20

// Library is safe for concurrent use.
type Library struct {
	store     store.Store
	artworks  *lru.Cache[shopArtwork, Artwork] // documents read last; read only: callers share them
	snapshots *lru.Cache[string, struct{}]     // the keys of those that stand
	pictures  *pictures                        // nil: none are held
}

// artworksKept is how many artworks' documents stay in memory, some 100 KB each.
const artworksKept = 128

// snapshotsKept is how many stored snapshots are known as such, so that a quote need not ask the store: one a shop that
// asks at the time.
const snapshotsKept = 1024

// New makes a library over a store.
func New(s store.Store) *Library {
	return &Library{store: s, artworks: Kept[shopArtwork, Artwork](artworksKept),
		snapshots: Kept[string, struct{}](snapshotsKept)}
}

// Kept is a cache of so many things, the least recently used going first.
func Kept[K comparable, V any](most int) *lru.Cache[K, V] {
	cache, err := lru.New[K, V](most)
	if err != nil {
		panic(err) // of no number but 0 or less
	}
	return cache
}

// Store is the store underneath, for the queue and for downloads.
func (l *Library) Store() store.Store { return l.store }

func prefix(s ShopID) string { return "shops/" + string(s) + "/" }

func artworkKey(s ShopID, id ArtworkID, name string) string {
	return prefix(s) + "artworks/" + string(id) + "/" + name
}

func fileKey(s ShopID, sha, ext string) string {
	return prefix(s) + "files/" + sha[:2] + "/" + sha + ext
}

func workKey(s ShopID, w WorkID, name string) string {
	return prefix(s) + "work/" + string(w) + "/" + name
}

var (
	artworkForm = regexp.MustCompile(`^art_[0-9a-f]{32}$`)
	extForm     = regexp.MustCompile(`^\.[a-z0-9]{1,8}$`)
)

// read loads a JSON document.
func (l *Library) read(ctx context.Context, key string, into any) error {
	data, _, err := store.ReadAll(ctx, l.store, key, maxDocument)
	if err != nil {
		return err
	}
	return json.Unmarshal(data, into)
}

// putOnce stores bytes under a key that only these bytes can have.
func (l *Library) putOnce(ctx context.Context, key string, body []byte, mediaType string) (created bool, err error) {
	return l.store.PutOnce(ctx, key, bytes.NewReader(body), int64(len(body)), sha256.Sum256(body), mediaType)
}

// sumHex is the SHA-256 of data in hex.
func sumHex(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

func notFound(what, id string) error {
	return fault.Newf(fault.NotFound, "", what+"_not_found", "there is no %s %.60q here", what, id)
}
