package artwork

import (
	"bytes"
	"fmt"

	"golang.org/x/image/tiff"

	"tamis/pkg/fault"
)

// tiffLayout is how a TIFF's samples lie, read and checked from its first directory.
type tiffLayout struct {
	ifd
	width, height          int
	samples, bits, base    int // base: samples without the extra ones
	compression, predictor int
	photometric            int
	planar, tiled          bool
	blockW, blockH         int
	offsets, counts        []uint32
	alphaAt                int // sample index of alpha, 0 none (sample 0 is never alpha)
	premultiplied          bool
}

// tiffHeader reads the size and resolution of the first page.
func tiffHeader(data []byte) (Header, error) {
	d, ok := firstIFD(data)
	if !ok {
		return Header{}, broken("the TIFF directory lies outside the file", nil)
	}
	return Header{
		Width: int(d.number(tagWidth, 0)), Height: int(d.number(tagHeight, 0)), PPI: d.ppi(),
	}, nil
}

// decodeTIFF reads what golang.org/x/image/tiff does not (CMYK, grey with alpha, planar) itself, and leaves bilevel and
// palette files to it.
func decodeTIFF(data []byte, _ Header) (*raw, error) {
	d, _ := firstIFD(data)
	l := readLayout(d)
	if err := l.check(len(data)); err != nil {
		return nil, err
	}
	var r *raw
	var err error
	if l.plain() {
		r, err = l.decode()
	} else {
		r, err = l.foreign()
	}
	if err != nil {
		return nil, err
	}
	r.icc, _, _ = d.value(tagProfile)
	r.orientation = int(d.number(tagOrientation, 0))
	return r, nil
}

// foreign decodes by golang.org/x/image/tiff, which takes the black runs of fax codes for black even where the file
// says that 0 is black; libtiff, and TIFF 6.0 section 10, take them for ones. The test compares.
func (l *tiffLayout) foreign() (*raw, error) {
	img, err := tiff.Decode(bytes.NewReader(l.data))
	if err != nil {
		return nil, broken("TIFF", err)
	}
	r := fromImage(img)
	if fax := l.compression >= 2 && l.compression <= 4; fax && l.photometric == 1 {
		for i, v := range r.pix {
			r.pix[i] = 255 - v
		}
	}
	return r, nil
}

func readLayout(d ifd) *tiffLayout {
	l := &tiffLayout{
		ifd:   d,
		width: int(d.number(tagWidth, 0)), height: int(d.number(tagHeight, 0)),
		samples: int(d.number(tagSamples, 1)), bits: int(d.number(tagBits, 1)),
		compression: int(d.number(tagCompression, 1)), predictor: int(d.number(tagPredictor, 1)),
		photometric: int(d.number(tagPhotometric, 1)), planar: d.number(tagPlanar, 1) == 2,
	}
	l.base = map[int]int{0: 1, 1: 1, 2: 3, 5: 4}[l.photometric]
	for i, kind := range d.numbers(tagExtraSamples) {
		if (kind == 1 || kind == 2) && l.alphaAt == 0 {
			l.alphaAt, l.premultiplied = l.base+i, kind == 1
		}
	}
	l.blockW, l.blockH = l.width, min(l.height, int(d.number(tagRowsPerStrip, uint32(l.height))))
	l.offsets, l.counts = d.numbers(tagOffsets), d.numbers(tagCounts)
	if w := int(d.number(tagTileWidth, 0)); w > 0 {
		l.tiled, l.blockW, l.blockH = true, w, int(d.number(tagTileHeight, 0))
		l.offsets, l.counts = d.numbers(tagTileOffsets), d.numbers(tagTileCounts)
	}
	return l
}

// plain tells what we decode ourselves: 8 or 16 bits, grey, RGB or CMYK, none, LZW, Deflate or PackBits.
func (l *tiffLayout) plain() bool {
	switch l.compression {
	case 1, 5, 8, 32946, 32773:
	default:
		return false
	}
	return l.base > 0 && (l.bits == 8 || l.bits == 16) && (l.predictor == 1 || l.predictor == 2)
}

// check refuses layouts that cannot be before anything is allocated by them.
func (l *tiffLayout) check(fileBytes int) error {
	if l.compression == 7 || l.compression == 6 {
		return fault.Newf(
			fault.Unsupported,
			"",
			"tiff_jpeg",
			"JPEG inside TIFF is not read; save it as JPEG, or TIFF with LZW",
		)
	}
	if f := l.number(tagSampleFormat, 1); f != 1 {
		return fault.Newf(
			fault.Unsupported,
			"",
			"tiff_samples",
			"TIFF samples must be whole numbers; these are of format %d",
			f,
		)
	}
	if l.samples < 1 || l.samples > 16 || l.base > l.samples || l.alphaAt >= l.samples {
		return broken(fmt.Sprintf("%d samples a pixel do not fit its kind of colour", l.samples), nil)
	}
	if l.blockW < 1 || l.blockH < 1 || l.blockW > maxSide || l.blockH > maxSide ||
		l.tiled && (l.blockW > l.width+1024 || l.blockH > l.height+1024) {
		return broken(fmt.Sprintf("blocks of %d x %d pixels", l.blockW, l.blockH), nil)
	}
	if n := l.blocks(); len(l.offsets) < n || len(l.counts) < n {
		return broken(
			fmt.Sprintf("%d of %d strips or tiles are listed", min(len(l.offsets), len(l.counts)), n),
			nil,
		)
	}
	for i := range l.blocks() {
		if uint64(l.offsets[i])+uint64(l.counts[i]) > uint64(fileBytes) {
			return broken(fmt.Sprintf("strip or tile %d lies outside the file: cut short?", i), nil)
		}
	}
	return nil
}

// across, down and blocks count the strips or tiles of one plane, and of all.
func (l *tiffLayout) across() int { return (l.width + l.blockW - 1) / l.blockW }
func (l *tiffLayout) down() int   { return (l.height + l.blockH - 1) / l.blockH }

func (l *tiffLayout) blocks() int {
	n := l.across() * l.down()
	if l.planar {
		n *= l.samples
	}
	return n
}
