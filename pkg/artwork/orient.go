package artwork

import "tamis/pkg/pages"

// orient turns and mirrors the picture as EXIF orientation 1..8 asks; anything else leaves it.
//
// Source: EXIF 2.3, tag 274: the value names where row 0 and column 0 of the stored picture stand in the shown one.
func (m *Image) orient(orientation int) {
	if orientation < 2 || orientation > 8 {
		return
	}
	w, h := m.Width, m.Height
	if orientation >= 5 {
		w, h = h, w
	}
	out := pages.Make[uint8](len(m.Pix))
	for y := range h {
		for x := range w {
			sx, sy := source(orientation, x, y, m.Width, m.Height)
			copy(out[4*(y*w+x):][:4], m.Pix[4*(sy*m.Width+sx):][:4])
		}
	}
	m.Width, m.Height, m.Pix = w, h, out
}

// source is the stored pixel shown at x, y; width and height are the stored picture's.
func source(orientation, x, y, width, height int) (sx, sy int) {
	right, bottom := width-1, height-1
	switch orientation {
	case 2:
		return right - x, y
	case 3:
		return right - x, bottom - y
	case 4:
		return x, bottom - y
	case 5:
		return y, x
	case 6:
		return y, bottom - x
	case 7:
		return right - y, bottom - x
	}
	return right - y, x
}
