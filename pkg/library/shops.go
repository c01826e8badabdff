package library

import (
	"context"
	"encoding/json"

	"tamis/pkg/fault"
	"tamis/pkg/shop"
	"tamis/pkg/store"
)

// ShopDoc names one of a shop's own documents.
type ShopDoc string

// The documents a shop has, each under /v1/shop and in a snapshot.
const (
	ProfileDoc ShopDoc = "shop"
	InksDoc    ShopDoc = "inks"
	MeshesDoc  ShopDoc = "meshes"
	DevicesDoc ShopDoc = "devices"
	PressesDoc ShopDoc = "presses"
	PricesDoc  ShopDoc = "prices"
)

func settingsKey(id ShopID, d ShopDoc) string { return prefix(id) + "settings/" + string(d) + ".json" }

// Snapshot reads a shop's documents; a document the shop has not stored is the default one.
func (l *Library) Snapshot(ctx context.Context, id ShopID) (shop.Snapshot, error) {
	s, _, err := l.SnapshotFor(ctx, id, "")
	return s, err
}

// SnapshotFor is Snapshot, with the store's version of one document for ReplaceDoc: "" where it is the default one.
func (l *Library) SnapshotFor(ctx context.Context, id ShopID, d ShopDoc) (s shop.Snapshot, version string, err error) {
	s = shop.Default()
	s.Profile.ID = string(id)
	var faults fault.List
	for _, one := range []struct {
		doc  ShopDoc
		load func(key string) (etag string, err error)
	}{
		{ProfileDoc, loader(ctx, l, &s.Profile)}, {InksDoc, loader(ctx, l, &s.Inks)}, {MeshesDoc, loader(ctx, l, &s.Meshes)},
		{DevicesDoc, loader(ctx, l, &s.Devices)}, {PressesDoc, loader(ctx, l, &s.Presses)}, {PricesDoc, loader(ctx, l,
			&s.Prices)},
	} {
		etag, err := one.load(settingsKey(id, one.doc))
		faults.Add(err)
		if one.doc == d {
			version = etag
		}
	}
	return s, version, faults.Err()
}

// loader replaces the default with the shop's own document where there is one. It decodes into a fresh value: decoding
// over the default would leave its fields in elements that the document leaves out.
func loader[T any](ctx context.Context, l *Library, into *T) func(key string) (etag string, err error) {
	return func(key string) (string, error) {
		data, info, err := store.ReadAll(ctx, l.store, key, maxDocument)
		if fault.Is(err, fault.NotFound) {
			return "", nil
		}
		var own T
		if err == nil {
			err = json.Unmarshal(data, &own)
		}
		if err == nil {
			*into = own
		}
		return info.ETag, err
	}
}

// ReplaceDoc stores a document of the shop in place of the version that SnapshotFor gave; fault.Precondition when
// another call has replaced it since. One of two writers wins, whole. document has been checked.
//
// Documents name one another, and another one may have been replaced since the check: then this one is taken back, and
// it is fault.Precondition too. Of two such writers each looks once it has written, so at least one sees both.
func (l *Library) ReplaceDoc(ctx context.Context, id ShopID, d ShopDoc, document any, version string) error {
	before, now, err := l.SnapshotFor(ctx, id, d)
	if err != nil {
		return err
	}
	if now != version {
		return fault.Newf(fault.Precondition, "", "stale", "another call has replaced the document")
	}
	ours, err := l.putDoc(ctx, id, d, document, version)
	if err != nil {
		return err
	}
	after, err := l.Snapshot(ctx, id)
	if err != nil {
		return err
	}
	gone := stands(after, d)
	if gone == nil {
		return nil
	}
	if _, err := l.putDoc(ctx, id, d, documentOf(&before, d), ours); err != nil && !fault.Is(err, fault.Precondition) {
		return err
	}
	return fault.Wrap(gone, fault.Precondition, "stale", "another call has replaced what the document names")
}

// putDoc stores a document in place of a version and gives its own.
func (l *Library) putDoc(ctx context.Context, id ShopID, d ShopDoc, document any, version string) (string, error) {
	data, err := json.Marshal(document)
	if err != nil {
		return "", err
	}
	return l.store.PutIfMatch(ctx, settingsKey(id, d), data, version)
}

// stands tells whether what a document names, or is named by, is there.
func stands(s shop.Snapshot, d ShopDoc) error {
	switch d {
	case ProfileDoc:
		return s.DefaultsStand()
	case DevicesDoc:
		return s.KeepsDefaultDevice()
	case PressesDoc:
		return s.KeepsDefaultPress()
	}
	return nil
}

// documentOf is a document of a snapshot.
func documentOf(s *shop.Snapshot, d ShopDoc) any {
	return map[ShopDoc]any{ProfileDoc: &s.Profile, InksDoc: &s.Inks, MeshesDoc: &s.Meshes, DevicesDoc: &s.Devices,
		PressesDoc: &s.Presses, PricesDoc: &s.Prices}[d]
}

// CheckCurves names every use of a curve that is not among the shop's calibrations, or is another thing's: kind is film
// or press.
func (l *Library) CheckCurves(ctx context.Context, id ShopID, kind string, uses []shop.CurveUse) error {
	var c fault.Checker
	for _, u := range uses {
		found, err := l.Calibration(ctx, id, u.ID)
		switch {
		case fault.Is(err, fault.NotFound):
			c.Addf(u.Field, "unknown_curve", "there is no curve %.60q in /v1/calibrations", u.ID)
		case err != nil:
			return err
		case found.Kind != kind:
			c.Addf(u.Field, "curve_kind", "%s is a %s curve; one of kind %s is wanted", u.ID, found.Kind, kind)
		}
	}
	return c.Err()
}
