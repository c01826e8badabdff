package library

import (
	"context"
	"sync"
	"time"

	"tamis/pkg/artwork"
)

// pictures holds the picture decoded last, for the job that mostly follows its upload at once: decoding a photograph
// takes as long as making two of its films. Bounded in size, and let go after a while. Safe for concurrent use.
type pictures struct {
	mostPX int64         // a larger one is not held
	hold   time.Duration // how long

	mu    sync.Mutex // guards the rest
	of    shopArtwork
	image *artwork.Image
	timer *time.Timer
}

// Ours: 32 Mpx are 128 MB; a storefront orders within seconds of its upload or much later.
const (
	heldPX  = 32e6
	heldFor = 20 * time.Second
)

// put holds a picture in place of the last one.
func (p *pictures) put(of shopArtwork, image *artwork.Image) {
	if int64(image.Width)*int64(image.Height) > p.mostPX {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.timer != nil {
		p.timer.Stop()
	}
	p.of, p.image = of, image
	p.timer = time.AfterFunc(p.hold, func() { p.take(of) })
}

// take gives a picture out of hand, nil where it is not held.
func (p *pictures) take(of shopArtwork) *artwork.Image {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.of != of {
		return nil
	}
	image := p.image
	p.of, p.image = shopArtwork{}, nil
	return image
}

// HoldPictures makes the library hold the picture uploaded last, decoded, for Picture. It is for a process that works
// jobs as well as taking artwork in; call it before use.
func (l *Library) HoldPictures() { l.pictures = &pictures{mostPX: heldPX, hold: heldFor} }

// Picture opens an artwork, or takes the picture held since its upload. Its rows may still be arriving (artwork.Open). The
// caller must not change it, and drops it when done.
func (l *Library) Picture(ctx context.Context, shop ShopID, a Artwork, limits artwork.Limits) (*artwork.Image, error) {
	if l.pictures != nil {
		if image := l.pictures.take(shopArtwork{shop, a.ID}); image != nil {
			return image, nil
		}
	}
	data, err := l.Original(ctx, shop, a)
	if err != nil {
		return nil, err
	}
	return artwork.Open(ctx, data, limits)
}
