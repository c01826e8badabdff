package library_test

import (
	"context"
	"strings"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/shop"
	"tamis/pkg/store"
)

// meanwhile is a store in which another call gets in before a document whose key ends so is put, once.
type meanwhile struct {
	store.Store
	key string
	do  func()
}

func (m *meanwhile) PutIfMatch(ctx context.Context, key string, data []byte, etag string) (string, error) {
	if do := m.do; do != nil && strings.HasSuffix(key, m.key) {
		m.do = nil
		do()
	}
	return m.Store.PutIfMatch(ctx, key, data, etag)
}

// TestADefaultNeverNamesWhatAnotherCallTakesAway puts a profile whose default is another device while that device is
// taken out of the list, each before the other; and the same of presses. Both were right when they were checked.
func TestADefaultNeverNamesWhatAnotherCallTakesAway(t *testing.T) {
	fewer := shop.Default()
	fewer.Devices.Devices, fewer.Presses.Presses = fewer.Devices.Devices[:1], fewer.Presses.Presses[1:]
	other := shop.Default().Profile
	other.DefaultDevice, other.DefaultPress = "laser-1200", "manual-6"
	for _, r := range []struct {
		first, second library.ShopDoc
		list          any
	}{
		{library.DevicesDoc, library.ProfileDoc, fewer.Devices}, {library.ProfileDoc, library.DevicesDoc, fewer.Devices},
		{library.PressesDoc, library.ProfileDoc, fewer.Presses}, {library.ProfileDoc, library.PressesDoc, fewer.Presses},
	} {
		_, dir := open(t)
		slow := &meanwhile{Store: dir, key: "/" + string(r.second) + ".json"}
		l := library.New(slow)
		put := func(d library.ShopDoc) error {
			_, version, err := l.SnapshotFor(t.Context(), mine, d)
			if err != nil {
				t.Fatal(err)
			}
			if d == library.ProfileDoc {
				return l.ReplaceDoc(t.Context(), mine, d, other, version)
			}
			return l.ReplaceDoc(t.Context(), mine, d, r.list, version)
		}
		slow.do = func() {
			if err := put(r.first); err != nil {
				t.Errorf("%s, alone: %v", r.first, err)
			}
		}
		if err := put(r.second); !fault.Is(err, fault.Precondition) {
			t.Errorf("%s after %s: %v, want a precondition that failed", r.second, r.first, err)
		}
		s, err := l.Snapshot(t.Context(), mine)
		if err != nil || s.DefaultsStand() != nil {
			t.Errorf("%s after %s: %v, %v", r.second, r.first, err, s.DefaultsStand())
		}
	}
}
