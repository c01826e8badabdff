package artwork

import "math"

// Figures of the flat/continuous decision. Ours; TestKindsOfArtwork holds them on both sides.
const (
	paletteRadius = 0.045 // OKLab: colours nearer than this are one palette colour
	paletteCore   = 0.018 // and flat art keeps its still pixels within this of it
	paletteMost   = 16    // more colours than a press has stations are no flat art
	paletteLeast  = 0.001 // share of the still pixels under which a colour may be a photograph's
	flatStray     = 0.05  // share of still pixels that may lie outside the cores in flat art
	mixedStray    = 0.45  // and in mixed art
	flatStill     = 0.25  // least share of still pixels in flat art: the rest are edges, and what JPEG leaves about them
	flatSoft      = 0.02  // most of the inked area that may be partly transparent and still: a tint, not an edge
	flatFringe    = 0.25  // and partly transparent at all: more is a fade
	flatOff       = 0.004 // share of the inked area that may be neither a palette colour nor an edge, however few edges
	flatOffEdges  = 0.5   // and past it the part of all that moves or strays: JPEG leaves less than this about edges
)

// kindOf decides by how far the inked pixels are a small palette's, or blends of two of its colours as edges are. lines
// tells flat art whose colours are, at least in part, those of strokes too thin to have still pixels.
func kindOf(img *Image, d *Digest) (kind Kind, lines bool) {
	list, known := d.flats()
	outside := d.outside()
	tint, partly := d.soft()
	if outside <= flatStray && tint <= flatSoft {
		g := d.groundOf(list)
		flat, soft := d.beside(g, known)
		sparse := g.share >= groundLeast && soft > flat
		if !sparse && d.Still >= flatStill && partly <= flatFringe && !d.picture(outside, known) {
			return Flat, false
		}
		if sparse && d.isDrawn(outside, known) && img.strokes(g, flat) {
			return Flat, true
		}
	}
	if len(list) > 0 && outside <= mixedStray && d.Still >= flatStill/2 {
		return Mixed, false
	}
	return Continuous, false
}

// isDrawn tells whether few colours explain the moving pixels, those that only strokes have among them.
func (d *Digest) isDrawn(outside float64, known blends) bool {
	_, all := d.thin(known)
	return !d.picture(outside, all)
}

// outside is the share of the still pixels that stray from the palette's cores or are of more colours than flat art
// has.
func (d *Digest) outside() float64 {
	list, outside := d.palette()
	for _, p := range list[min(len(list), paletteMost):] {
		outside += p.Share
	}
	return outside
}

// flats gives the palette, and those of its colours, the clear ground last, that edges may run between.
func (d *Digest) flats() (list []PaletteColor, known blends) {
	list, _ = d.palette()
	for _, p := range list[:min(len(list), paletteMost)] {
		if p.Share >= paletteLeast {
			known = append(known, premultiplied([3]float64{float64(p.Color.R), float64(p.Color.G), float64(p.Color.B)}, 1))
		}
	}
	return list, append(known, rgba{})
}

// picture tells art with a photograph on a flat ground, however small beside it: what strays from the palette (outside,
// a share of the still pixels) and what moves without being a blend of two known colours are then most of what there is
// beside the ground.
func (d *Digest) picture(outside float64, known blends) bool {
	off := outside * d.Still
	all := off + 1 - d.Still
	return off+d.unexplained(known) > max(flatOff, flatOffEdges*all)
}

// unexplained is the share of the inked area that moves and is no blend of two known colours.
func (d *Digest) unexplained(known blends) (off float64) {
	for _, b := range d.Bins {
		if known.far(premultiplied(b.RGB, b.Alpha)) > edgeCodes*edgeCodes {
			off += b.Share - b.Still
		}
	}
	return off / max(1-d.Transparent, math.SmallestNonzeroFloat64)
}

// soft gives the shares of the inked area that are partly transparent and still, and partly transparent at all.
func (d *Digest) soft() (tint, partly float64) {
	inked := max(1-d.Transparent, math.SmallestNonzeroFloat64)
	for _, b := range d.Bins {
		if b.Alpha < 1 {
			tint, partly = tint+b.Still/inked, partly+b.Share/inked
		}
	}
	return tint, partly
}

// edgeCodes is how far from every blend of two known colours, in premultiplied codes, a pixel may be and still be
// their edge. Ours: sharpening and JPEG put edges up to 20 codes off; a photograph on white is farther off in most.
const edgeCodes = 28.0

// rgba is a premultiplied colour, 0..255 a channel.
type rgba [4]float64

func premultiplied(rgb [3]float64, alpha float64) rgba {
	return rgba{rgb[0] * alpha, rgb[1] * alpha, rgb[2] * alpha, 255 * alpha}
}

// blends are colours any two of which may run into one another at an edge.
type blends []rgba

// far is the squared distance of v from the nearest blend of two of the colours, or the only one.
func (list blends) far(v rgba) float64 {
	least := math.Inf(1)
	for i, a := range list {
		for _, b := range list[:i+1] {
			least = min(least, offWay(v, a, b))
		}
	}
	return least
}

// nearest is the colour nearest to v and its squared distance.
func (list blends) nearest(v rgba) (at int, least float64) {
	least = math.Inf(1)
	for i, c := range list {
		if far := offWay(v, c, c); far < least {
			at, least = i, far
		}
	}
	return at, least
}

// offWay is the squared distance of v from the way between a and b.
func offWay(v, a, b rgba) (far float64) {
	num, den := 0.0, 0.0
	for c := range v {
		num += float64((b[c] - a[c]) * (v[c] - a[c]))
		den += float64((b[c] - a[c]) * (b[c] - a[c]))
	}
	t := 0.0
	if den > 0 {
		t = min(max(num/den, 0), 1)
	}
	for c := range v {
		e := a[c] + float64(t*(b[c]-a[c])) - v[c]
		far += float64(e * e)
	}
	return far
}
