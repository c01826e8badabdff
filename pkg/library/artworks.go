package library

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/store"
)

// Artwork is an uploaded file with what its inspection found. Its id follows from its bytes.
type Artwork struct {
	ID         ArtworkID           `json:"id"`
	SHA256     string              `json:"sha256"`
	Bytes      int64               `json:"bytes"`
	MediaType  string              `json:"media_type"`
	WidthPX    int                 `json:"width_px"`
	HeightPX   int                 `json:"height_px"`
	PPI        float64             `json:"ppi,omitempty"`
	Vector     bool                `json:"vector"`
	Inspector  int                 `json:"inspector"`
	Inspection *artwork.Inspection `json:"inspection"`
}

// inspector is the version of what an inspection holds: a stored one of another version is made again.
const inspector = 4

// SaveArtwork checks, decodes and inspects an uploaded file and keeps it. created is false when the shop holds the same
// bytes already; then nothing is decoded. declaredType is the caller's Content-Type, "" for none.
func (l *Library) SaveArtwork(ctx context.Context, shop ShopID, data []byte, declaredType string,
	limits artwork.Limits) (a Artwork, created bool, err error) {
	head, err := artwork.Probe(data, declaredType, limits)
	if err != nil {
		return a, false, err
	}
	sum := sha256.Sum256(data)
	sha := hex.EncodeToString(sum[:])
	id := ArtworkID("art_" + sha[:32])
	if a, err = l.Artwork(ctx, shop, id); err == nil || !fault.Is(err, fault.NotFound) {
		return a, false, err
	}
	a = Artwork{ID: id, SHA256: sha, Bytes: int64(len(data)), MediaType: head.MediaType, PPI: head.PPI}
	image, err := artwork.Open(ctx, data, limits)
	if err != nil {
		return a, false, err
	}
	defer image.Drop()
	if err := a.inspect(ctx, image); err != nil {
		return a, false, err // nothing is kept of what cannot be read
	}
	if l.pictures != nil {
		l.pictures.put(shopArtwork{shop, id}, image)
	}
	ctx = context.WithoutCancel(ctx) // bytes without their document, left by a caller who went away, nobody would find
	_, err = l.store.PutOnce(ctx, artworkKey(shop, id, "original"), bytes.NewReader(data), a.Bytes, sum, head.MediaType)
	if err != nil {
		return a, false, err
	}
	return a, true, l.putArtwork(ctx, shop, a)
}

// inspect looks at the picture as its rows come.
func (a *Artwork) inspect(ctx context.Context, image *artwork.Image) (err error) {
	a.Inspector = inspector
	a.WidthPX, a.HeightPX = image.Width, image.Height
	if a.Inspection, err = artwork.Inspect(ctx, image); err != nil {
		return err
	}
	a.Inspection.Key = a.SHA256
	return nil
}

// putArtwork writes the document last: where it stands, the bytes stand.
func (l *Library) putArtwork(ctx context.Context, shop ShopID, a Artwork) error {
	doc, err := json.Marshal(a)
	if err != nil {
		return err
	}
	return l.store.Put(ctx, artworkKey(shop, a.ID, "artwork.json"), doc, "application/json")
}

// Artwork finds an artwork of the shop; fault.NotFound for any other id.
func (l *Library) Artwork(ctx context.Context, shop ShopID, id ArtworkID) (Artwork, error) {
	var a Artwork
	if !artworkForm.MatchString(string(id)) {
		return a, notFound("artwork", string(id))
	}
	key := shopArtwork{shop, id}
	if a, ok := l.artworks.Get(key); ok {
		return a, nil
	}
	err := l.read(ctx, artworkKey(shop, id, "artwork.json"), &a)
	if fault.Is(err, fault.NotFound) {
		return a, notFound("artwork", string(id))
	}
	if err == nil && a.Inspector != inspector {
		a, err = l.inspectAgain(ctx, shop, a)
	}
	if err != nil {
		return a, err
	}
	a.Inspection.Key = a.SHA256
	l.artworks.Add(key, a)
	return a, nil
}

// shopArtwork names an artwork of a shop.
type shopArtwork struct {
	shop ShopID
	id   ArtworkID
}

// inspectAgain brings an artwork that an older Tamis inspected up to date.
func (l *Library) inspectAgain(ctx context.Context, shop ShopID, a Artwork) (Artwork, error) {
	data, err := l.Original(ctx, shop, a)
	if err != nil {
		return a, err
	}
	unlimited := artwork.Limits{MaxBytes: a.Bytes, MaxPixels: int64(a.WidthPX) * int64(a.HeightPX)}
	image, err := artwork.Decode(ctx, data, unlimited)
	if err != nil {
		return a, err
	}
	if err := a.inspect(ctx, image); err != nil {
		return a, err
	}
	return a, l.putArtwork(ctx, shop, a)
}

// Original reads the uploaded bytes.
func (l *Library) Original(ctx context.Context, shop ShopID, a Artwork) ([]byte, error) {
	data, _, err := store.ReadAll(ctx, l.store, artworkKey(shop, a.ID, "original"), a.Bytes)
	return data, err
}
