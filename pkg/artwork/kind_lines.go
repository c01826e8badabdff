package artwork

import (
	"math"
	"sort"

	"tamis/pkg/color"
)

// Figures of the search for line work. Ours; TestLineWorkIsFlat holds them.
const (
	groundLeast = 0.5  // share of the picture that a ground holds which lines or a photograph stand on
	mostThin    = 4    // colours that only strokes have
	strokePX    = 8    // widest stroke: one of 3 px has no still pixels, anti-aliased edges and JPEG take the rest
	groundCodes = 32   // most that a channel of a ground pixel is off the ground: more is ink
	longMost    = 0.05 // most of the ink that may be no stroke: where lines cross
	longFlat    = 1.5  // and how much of it a pixel of other flat shapes brings with it: their edges
	thinLeast   = 0.05 // share of what moves that a colour of strokes must explain: less is where two cross
)

// ground is what lies under line work: nothing, or the most frequent still colour.
type ground struct {
	clear bool
	color color.RGB8
	share float64 // of the picture
}

// groundOf finds the ground among the flat colours, by falling share of the still pixels.
func (d *Digest) groundOf(list []PaletteColor) ground {
	inked := 1 - d.Transparent
	if len(list) > 0 {
		if share := list[0].Share * d.Still * inked; share > d.Transparent {
			return ground{color: list[0].Color, share: share}
		}
	}
	return ground{clear: true, share: d.Transparent}
}

// beside gives the shares of the picture that are of a flat colour other than the ground's, still or in grain, and that
// are neither such nor ground: edges, lines, tones. known's last is the clear ground.
func (d *Digest) beside(g ground, known blends) (flat, soft float64) {
	flat = d.Still * (1 - d.Transparent)
	at := len(known) - 1
	if !g.clear {
		flat, at = flat-g.share, 0
	}
	for _, b := range d.Bins {
		switch near, far := known.nearest(premultiplied(b.RGB, b.Alpha)); {
		case far > edgeCodes*edgeCodes:
			soft += b.Share - b.Still
		case near != at:
			flat += b.Share - b.Still
		}
	}
	return flat, soft
}

// thin adds the colours that only strokes have: those of the pixels farthest off all blends of known ones.
func (d *Digest) thin(known blends) (colors []color.RGB8, all blends) {
	left := d.unexplained(known)
	for range mostThin {
		b := d.farthest(known)
		if b == nil {
			break
		}
		more := append(known[:len(known):len(known)], premultiplied(b.RGB, 1))
		now := d.unexplained(more)
		if left-now < float64(thinLeast*(1-d.Still)) {
			break
		}
		colors, known, left = append(colors, b.Color()), more, now
	}
	return colors, known
}

// farthest is the bin whose moving pixels are off the blends of known colours by the most in all; nil: none is off.
func (d *Digest) farthest(known blends) (bin *Bin) {
	most := 0.0
	for i, b := range d.Bins {
		far := known.far(premultiplied(b.RGB, b.Alpha))
		if off := float64((b.Share - b.Still) * far); far > edgeCodes*edgeCodes && off > most {
			bin, most = &d.Bins[i], off
		}
	}
	return bin
}

// strokes tells whether the ink on the ground is strokes but for flat areas (a share of the picture) and their edges.
func (m *Image) strokes(g ground, flat float64) bool {
	ink, long := 0, 0
	for y := range m.Height {
		for x := 0; x < m.Width; {
			to := m.inkTo(g, x, y)
			ink += to - x
			if to-x > strokePX {
				for ; x < to; x++ {
					if m.tall(g, x, y) {
						long++
					}
				}
			}
			x = max(to, x+1)
		}
	}
	return float64(long) <= float64(longMost*float64(ink))+float64(longFlat*flat*float64(m.Width)*float64(m.Height))
}

// inkTo is the end of the run of ink that begins at x: x where the ground lies there.
func (m *Image) inkTo(g ground, x, y int) int {
	for x < m.Width && !m.isGround(g, x, y) {
		x++
	}
	return x
}

// tall tells whether the ink at x, y is longer up and down than a stroke is wide.
func (m *Image) tall(g ground, x, y int) bool {
	top, end := y, y+1
	for top > 0 && y-top < strokePX && !m.isGround(g, x, top-1) {
		top--
	}
	for end < m.Height && end-y <= strokePX && !m.isGround(g, x, end) {
		end++
	}
	return end-top > strokePX
}

func (m *Image) isGround(g ground, x, y int) bool {
	p := m.Pix[4*(y*m.Width+x):][:4]
	if g.clear || p[3] == 0 {
		return p[3] == 0
	}
	want := [3]uint8{g.color.R, g.color.G, g.color.B}
	for c := range want {
		if d := int(p[c]) - int(want[c]); d > groundCodes || d < -groundCodes {
			return false
		}
	}
	return true
}

// lineColors are the flat colours of line work with their shares of the inked area: that of what is nearest to each.
func (d *Digest) lineColors() []PaletteColor {
	list, known := d.flats()
	colors, _ := d.thin(known)
	list = list[:len(known)-1]
	for _, c := range colors {
		list = append(list, PaletteColor{Color: c})
	}
	labs, total := make([]color.OKLab, len(list)), 0.0
	for i := range list {
		labs[i], list[i].Share = list[i].Color.OKLab(), 0
	}
	for _, b := range d.Bins {
		at, _ := b.Color().OKLab().Nearest(labs)
		w := float64(b.Share * b.Alpha)
		list[at].Share, total = list[at].Share+w, total+w
	}
	for i := range list {
		list[i].Share /= max(total, math.SmallestNonzeroFloat64)
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].Share > list[j].Share })
	return list
}
