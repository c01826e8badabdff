package library

import (
	"context"

	"tamis/pkg/fault"
	"tamis/pkg/shop"
)

// Snapshot reads a shop's documents; a document the shop has not stored is the default one.
func (l *Library) Snapshot(ctx context.Context, id ShopID) (shop.Snapshot, error) {
	s := shop.Default()
	s.Profile.ID = string(id)
	var faults fault.List
	faults.Add(load(ctx, l, id, "shop", &s.Profile))
	faults.Add(load(ctx, l, id, "inks", &s.Inks))
	faults.Add(load(ctx, l, id, "meshes", &s.Meshes))
	faults.Add(load(ctx, l, id, "devices", &s.Devices))
	faults.Add(load(ctx, l, id, "presses", &s.Presses))
	faults.Add(load(ctx, l, id, "prices", &s.Prices))
	return s, faults.Err()
}

// load replaces the default with the shop's own document where there is one. It decodes into a fresh value: decoding over
// the default would leave its fields in elements that the document leaves out.
func load[T any](ctx context.Context, l *Library, id ShopID, name string, into *T) error {
	var own T
	err := l.read(ctx, prefix(id)+"settings/"+name+".json", &own)
	if fault.Is(err, fault.NotFound) {
		return nil
	}
	if err == nil {
		*into = own
	}
	return err
}
