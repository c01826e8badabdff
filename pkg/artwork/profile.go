package artwork

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"

	"github.com/kovidgoyal/imaging/prism/meta/icc"

	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/pages"
)

// maxProfileBytes is above every real profile (large CMYK ones have 3 MB) and bounds what a packed one may swell to.
const maxProfileBytes = 16 << 20

// converter turns one pixel's samples, 0..1 each, into sRGB 0..1. It is called from several goroutines.
type converter func(in, out *[4]float64)

// toSRGB fills img.Pix from r, through the embedded profile where there is one that fits.
func toSRGB(ctx context.Context, r *raw, img *Image) error {
	conv := profileConverter(r, img)
	if conv == nil && r.channels == 4 {
		img.note("cmyk_untagged", Warning,
			"the artwork is CMYK without a colour profile; coated offset (FOGRA39) was assumed")
		conv = coatedCMYK()
	}
	stride := r.channels
	if r.ready {
		img.Pix, img.HasAlpha, stride = r.pix, r.clear, 4
	} else {
		img.Pix = pages.Make[uint8](4 * r.width * r.height)
		r.fillAlpha(img.Pix)
		img.HasAlpha = r.alpha != nil && !Opaque(img.Pix)
	}
	if r.ready && conv == nil {
		return nil
	}
	return cores.TryRanges(r.height, func(y0, y1 int) error { return r.convertRows(ctx, y0, y1, stride, img.Pix, conv) })
}

// Opaque tells whether all pixels of four bytes are.
func Opaque(pix []byte) bool {
	const alphas = 0xff000000_ff000000
	for ; len(pix) >= 8; pix = pix[8:] {
		if binary.LittleEndian.Uint64(pix)&alphas != alphas {
			return false
		}
	}
	return len(pix) < 4 || pix[3] == 255
}

// convertRows converts rows y0 to y1. A profile whose tables make the conversion panic is the file's fault.
func (r *raw) convertRows(ctx context.Context, y0, y1, stride int, pix []uint8, conv converter) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = broken("its colour profile cannot be followed", cores.PanicOf(p))
		}
	}()
	memo := newMemo(conv, r.channels)
	for y := y0; y < y1; y++ {
		if err := ctx.Err(); err != nil && y&63 == 0 {
			return fault.Wrap(err, fault.Canceled, "canceled", "decoding was cancelled")
		}
		r.convertRow(y, stride, pix, memo)
	}
	return nil
}

func (r *raw) fillAlpha(pix []uint8) {
	for i := range r.width * r.height {
		if r.alpha == nil {
			pix[4*i+3] = 255
		} else {
			pix[4*i+3] = r.alpha[i]
		}
	}
}

// convertRow writes the colours of one row; memo nil copies them. Pixels of r stand stride bytes apart; where r.pix
// is pix itself, each is read before it is written.
func (r *raw) convertRow(y, stride int, pix []uint8, m *memo) {
	n := r.channels
	for i := y * r.width; i < (y+1)*r.width; i++ {
		src, dst := r.pix[stride*i:stride*i+n], pix[4*i:4*i+3]
		switch {
		case m != nil:
			rgb := m.convert(src)
			copy(dst, rgb[:])
		case n == 1:
			dst[0], dst[1], dst[2] = src[0], src[0], src[0]
		default:
			copy(dst, src)
		}
	}
}

// memo remembers recent conversions: artwork repeats its colours. One belongs to one goroutine.
type memo struct {
	conv converter
	keys [memoSize]uint32
	rgb  [memoSize][3]uint8

	in, out [4]float64 // of the pixel at hand: here so that nothing is allocated a pixel
}

// memoSize is a power of two that keeps keys and colours (28 KB) in the first cache.
const memoSize = 4096

func newMemo(conv converter, channels int) *memo {
	if conv == nil {
		return nil
	}
	m := &memo{conv: conv}
	m.rgb[0] = m.compute(make([]byte, channels)) // only slot 0 can hold key 0, what the keys start with
	return m
}

func (m *memo) convert(src []byte) [3]uint8 {
	var key uint32
	for _, v := range src {
		key = key<<8 | uint32(v)
	}
	slot := key * 2654435761 >> 20
	if m.keys[slot] != key {
		m.keys[slot], m.rgb[slot] = key, m.compute(src)
	}
	return m.rgb[slot]
}

func (m *memo) compute(src []byte) [3]uint8 {
	for i, v := range src {
		m.in[i] = float64(v) / 255
	}
	m.conv(&m.in, &m.out)
	var rgb [3]uint8
	for c := range rgb {
		rgb[c] = uint8(min(max(float64(m.out[c]*255)+0.5, 0), 255))
	}
	return rgb
}

// profileConverter opens the embedded profile; nil where there is none, it is sRGB itself, or it does not fit, which
// a note says.
func profileConverter(r *raw, img *Image) converter {
	if len(r.icc) == 0 {
		return nil
	}
	conv, err := openProfile(r.icc, r.channels)
	if err != nil {
		img.note("profile_unusable", Warning, "the embedded colour profile cannot be used and was ignored")
		return nil
	}
	return conv
}

// openProfile reads a profile and makes its converter; nil for sRGB. A panic of the parser is the profile's fault.
func openProfile(data []byte, channels int) (conv converter, err error) {
	defer func() {
		if v := recover(); v != nil {
			conv, err = nil, fmt.Errorf("profile: panic: %v", v)
		}
	}()
	if err := color.CheckProfile(data); err != nil {
		return nil, err
	}
	p, err := icc.DecodeProfile(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	if channels != 4 && p.IsSRGB() {
		return nil, nil
	}
	return fit(p, channels)
}

// fit makes the converter: relative colorimetric with black point compensation, what artwork programs do.
func fit(p *icc.Profile, channels int) (converter, error) {
	counts := map[icc.ColorSpace]int{icc.ColorSpaceGray: 1, icc.ColorSpaceRGB: 3, icc.ColorSpaceCMYK: 4}
	inputs := counts[p.Header.DataColorSpace]
	if inputs != channels && !(inputs == 3 && channels == 1) {
		return nil, fmt.Errorf("profile has %d channels, the artwork %d", inputs, channels)
	}
	pipe, err := p.CreateTransformerToSRGB(
		icc.RelativeColorimetricRenderingIntent,
		true,
		inputs,
		true,
		false,
		true,
	)
	if err != nil {
		return nil, err
	}
	if inputs == 3 {
		return func(in, out *[4]float64) {
			if channels == 1 {
				in[1], in[2] = in[0], in[0]
			}
			out[0], out[1], out[2] = pipe.Transform(in[0], in[1], in[2])
		}, nil
	}
	return func(in, out *[4]float64) { pipe.TransformGeneral(out[:], in[:]) }, nil
}
