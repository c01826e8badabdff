package artwork

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/gif"
)

func gifHeader(data []byte) (Header, error) {
	if len(data) < 13 {
		return Header{}, broken("the GIF has no header", nil)
	}
	return Header{
		Width:  int(binary.LittleEndian.Uint16(data[6:])),
		Height: int(binary.LittleEndian.Uint16(data[8:])),
	}, nil
}

// decodeGIF reads the first frame and places it on the canvas; what the frame leaves open is transparent.
func decodeGIF(data []byte, h Header) (*raw, error) {
	img, err := gif.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, broken("GIF", err)
	}
	canvas := image.Rect(0, 0, h.Width, h.Height)
	if img.Bounds() == canvas {
		return fromImage(img), nil
	}
	full := image.NewNRGBA(canvas)
	b := img.Bounds().Intersect(canvas)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			p := straight(img.At(x, y))
			copy(full.Pix[full.PixOffset(x, y):], p[:])
		}
	}
	return fromImage(full), nil
}
