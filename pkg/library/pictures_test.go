package library

import (
	"testing"
	"testing/synctest"
	"time"

	"tamis/pkg/artwork"
)

func TestAPictureIsHandedOverOnceAndToItsShopAlone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &pictures{mostPX: 100, hold: time.Second}
		mine, theirs := shopArtwork{"mine", "art_1"}, shopArtwork{"theirs", "art_1"}
		first, second := &artwork.Image{Width: 10, Height: 10}, &artwork.Image{Width: 5, Height: 5}
		p.put(mine, first)
		if p.take(theirs) != nil || p.take(mine) != first || p.take(mine) != nil {
			t.Fatal("not handed over once")
		}
		p.put(mine, &artwork.Image{Width: 10, Height: 11})
		if p.take(mine) != nil {
			t.Fatal("a picture over the limit is held")
		}
		p.put(mine, first)
		time.Sleep(900 * time.Millisecond)
		p.put(theirs, second) // the first one's time does not end the second's
		time.Sleep(900 * time.Millisecond)
		synctest.Wait()
		if p.take(mine) != nil || p.take(theirs) != second {
			t.Fatal("the last one is held for its time")
		}
		p.put(mine, first)
		time.Sleep(1100 * time.Millisecond)
		synctest.Wait()
		if p.take(mine) != nil {
			t.Fatal("held for longer than said")
		}
	})
}
