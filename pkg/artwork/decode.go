package artwork

import (
	"context"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
)

// raw is a decoded picture before colour management and turning.
type raw struct {
	width, height int
	channels      int    // 1 grey, 3 RGB, 4 CMYK (255 = full ink); alpha is apart
	pix           []byte // channels bytes a pixel; 4 a pixel with straight alpha where ready
	ready         bool   // pix is laid out as Image.Pix: no copy is needed
	clear         bool   // of a ready one: some pixel is not opaque
	alpha         []byte // one byte a pixel; nil: opaque
	icc           []byte // the embedded profile; nil: untagged
	orientation   int    // EXIF 1..8; 0 unknown
	reduced       bool   // had more than 8 bits a channel
}

// Decode opens artwork: limits as in Probe, then pixels, colour-managed to sRGB and turned as EXIF says.
//
// A file that cannot be decoded, is cut short or makes a decoder panic is fault.Invalid; ctx is asked between the
// stages and in the colour loops.
func Decode(ctx context.Context, data []byte, lim Limits) (*Image, error) {
	h, f, err := probe(data, "", lim)
	if err != nil {
		return nil, err
	}
	r, err := guarded(f, data, h)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, fault.Wrap(err, fault.Canceled, "canceled", "decoding was cancelled")
	}
	img := &Image{Width: r.width, Height: r.height, PPI: h.PPI}
	if r.reduced {
		img.note("bit_depth_reduced", Info, "the artwork has 16 bits a channel; 8 are used")
	}
	if err := toSRGB(ctx, r, img); err != nil {
		return nil, err
	}
	img.orient(r.orientation)
	return img, nil
}

// Open is Decode, but that it may return at once, with the rows of the picture still to come (Image.Await): those of the
// common PNG, in sRGB and upright, which takes long to inflate on one core. ctx ends that, too.
func Open(ctx context.Context, data []byte, lim Limits) (*Image, error) {
	h, f, err := probe(data, "", lim)
	if err != nil {
		return nil, err
	}
	if f.mediaType == "image/png" {
		if img := openPNG(ctx, data, h); img != nil {
			return img, nil
		}
	}
	return Decode(ctx, data, lim)
}

// guarded runs a decoder: what it panics over is the file's fault, with the *cores.Panic as its cause.
func guarded(f format, data []byte, h Header) (r *raw, err error) {
	defer func() {
		if p := recover(); p != nil {
			r, err = nil, broken("its decoder gave up", cores.PanicOf(p))
		}
	}()
	return f.decode(data, h)
}

func (m *Image) note(code string, s Severity, message string) {
	m.Notes = append(m.Notes, Finding{Code: code, Severity: s, Message: message})
}
