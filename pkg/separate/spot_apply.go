package separate

import (
	"context"
	"slices"

	"tamis/pkg/artwork"
	"tamis/pkg/raster"
)

// spotter gives every pixel to a flat colour, or to two where it is a blended edge.
type spotter struct {
	colors []rgba  // premultiplied; the last is transparent
	plates [][]int // of each colour
	labels []uint8 // of each colour: those that print alike share one
	looks  [][]int // the plates of each label; of label 0 none
	fades  []fade
	count  int // of plates
	base   int
	over   int // the highlight, printed over all, -1 none
	trapMM float64
	choke  *choke
}

// rgba is a premultiplied colour, 0..255 a channel.
type rgba [4]float64

func (s *spotJob) applier(ly layers, plateOf []int) *spotter {
	sp := &spotter{looks: [][]int{nil}, count: len(ly.inks), base: ly.base, trapMM: s.req.TrapMM}
	sp.over = slices.Index(ly.roles, Highlight)
	sp.choke = &choke{ly.base, s.req.ChokeMM, s.req.PrintWidthMM, s.req.PrintHeightMM}
	for _, w := range s.swatches {
		sp.colors = append(sp.colors, opaque(w))
		sp.plates = append(sp.plates, platesOf(w.how, ly.base, plateOf))
	}
	sp.colors, sp.plates = append(sp.colors, rgba{}), append(sp.plates, nil)
	for _, plates := range sp.plates {
		sp.labels = append(sp.labels, sp.label(plates))
	}
	sp.addFades(s.ways, s.req.groundRGB())
	return sp
}

// label is the label of what prints on these plates, a new one where nothing did so far.
func (sp *spotter) label(plates []int) uint8 {
	at := slices.IndexFunc(sp.looks, func(look []int) bool { return slices.Equal(look, plates) })
	if at < 0 {
		at, sp.looks = len(sp.looks), append(sp.looks, plates)
	}
	return uint8(at)
}

// predict fills the plates' coverage from the digest: still pixels are their flat colour, all others blends of two.
func (sp *spotter) predict(d *artwork.Digest, plates []Plate) {
	add := func(v rgba, share float64, still bool) {
		if f := sp.fadeOf(v); still && f != nil && sp.classAt(v) == edgePixel {
			f.each(f.tone(v), func(k int, tone uint8) { plates[k].Coverage += float64(share * float64(tone) / 255) })
			return
		}
		m := sp.unmix(v, 1<<len(sp.colors)-1)
		for _, k := range sp.plates[m.a] {
			plates[k].Coverage += float64(share * float64(m.share) / 255)
		}
		for _, k := range sp.plates[m.b] {
			plates[k].Coverage += float64(share * float64(255-m.share) / 255)
		}
	}
	for _, b := range d.Bins {
		add(premultipliedBin(b.StillRGB, b.Alpha), b.Still, true)
		add(premultipliedBin(b.RGB, b.Alpha), b.Share-b.Still, false)
	}
}

// edgePixel marks a pixel that is none of the flat colours, fadePixel one that is of a gradient between two.
const (
	edgePixel = 255
	fadePixel = 254
)

// sameColor is how far, in codes a channel, a pixel may be from a flat colour to count as it: above the noise JPEG
// leaves, below what moves an edge's 50 % contour.
const sameColor = 6

// planes are those of the separation.
func (sp *spotter) planes(
	ctx context.Context,
	img *artwork.Image,
	progress func(done, total int),
) ([]*raster.Plane, error) {
	s, err := sp.separation(ctx, img, progress)
	if err != nil {
		return nil, err
	}
	return s.Planes, nil
}

// separation classifies all pixels, unmixes the edges, then traps and chokes.
func (sp *spotter) separation(
	ctx context.Context,
	img *artwork.Image,
	progress func(done, total int),
) (*Separation, error) {
	class := make([]uint8, img.Width*img.Height)
	quiet := func(int, int) {}
	if err := rowsInParallel(ctx, img.Height, quiet, func(y0, y1 int) { sp.classify(img, class, y0, y1) }); err != nil {
		return nil, err
	}
	out := make([]*raster.Plane, sp.count)
	for i := range out {
		out[i] = raster.NewPlane(img.Width, img.Height)
	}
	regions := raster.NewRegions(img.Width, img.Height)
	err := rowsInParallel(ctx, img.Height, progress, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			sp.row(img, class, out, regions, y)
		}
	})
	if err != nil {
		return nil, err
	}
	sp.trap(ctx, out)
	var findings []artwork.Finding
	if sp.base >= 0 && ctx.Err() == nil {
		findings = sp.choke.cutHold(ctx, out)
	}
	if ctx.Err() != nil {
		return nil, canceled(ctx.Err())
	}
	return &Separation{Planes: out, Shapes: sp.shapes(regions), Findings: findings}, nil
}

// shapes says where each plate prints: whole where it is the topmost of its look, and under others' looks as far as
// its plane reaches: the underbase under colours, colours under those that they are trapped to.
func (sp *spotter) shapes(regions *raster.Regions) []*raster.Shape {
	list := make([]*raster.Shape, sp.count)
	for k := range list {
		s := &raster.Shape{Regions: regions}
		for label, look := range sp.looks {
			switch {
			case len(look) == 0:
			case look[len(look)-1] == k, sp.screens(label, k):
				s.Own |= 1 << label
			case slices.Contains(look, k), sp.trapsUnder(k, look[len(look)-1]):
				s.Under |= 1 << label
			}
		}
		list[k] = s
	}
	return list
}

// trapsUnder tells whether plate k reaches under one that prints later. Nothing reaches under the highlight: it is the
// lightest, and what opens beside it is the underbase.
func (sp *spotter) trapsUnder(k, later int) bool {
	return sp.trapMM > 0 && k != sp.base && later > k && later != sp.over
}

// classify writes each pixel's flat colour, or fadePixel, or edgePixel.
func (sp *spotter) classify(img *artwork.Image, class []uint8, y0, y1 int) {
	last, lastClass := [4]uint8{0, 0, 0, 1}, uint8(edgePixel)
	for i := y0 * img.Width; i < y1*img.Width; i++ {
		p := [4]uint8(img.Pix[4*i : 4*i+4])
		if p != last {
			last, lastClass = p, sp.classAt(premultiplied(p))
		}
		class[i] = lastClass
		if lastClass == edgePixel && len(sp.fades) > 0 && stillAt(img, i) && sp.fadeOf(premultiplied(p)) != nil {
			class[i] = fadePixel
		}
	}
}

// classAt is the flat colour that v is, or edgePixel.
func (sp *spotter) classAt(v rgba) uint8 {
	best, at := float64(sameColor+1), edgePixel
	for k, c := range sp.colors {
		if far := apart(v, c); far < best {
			best, at = far, k
		}
	}
	return uint8(at)
}

func premultiplied(p [4]uint8) rgba {
	a := float64(p[3]) / 255
	return rgba{float64(p[0]) * a, float64(p[1]) * a, float64(p[2]) * a, float64(p[3])}
}

// row writes one row of every plane, and of the regions: runs of one flat colour at once, edges pixel by pixel.
func (sp *spotter) row(img *artwork.Image, class []uint8, out []*raster.Plane, regions *raster.Regions, y int) {
	start, end := y*img.Width, (y+1)*img.Width
	for i := start; i < end; {
		c := class[i]
		if c >= fadePixel {
			sp.mixed(img, class, out, regions, i)
			i++
			continue
		}
		to := i + 1
		for to < end && class[to] == c {
			to++
		}
		for _, k := range sp.plates[c] {
			fill(out[k].Pix[i:to], 255)
		}
		if l := sp.labels[c]; l != 0 { // as the regions were made
			fill(regions.A[i:to], l)
			fill(regions.B[i:to], l)
		}
		i = to
	}
}

// fill sets every byte: the part done so far is copied behind itself.
func fill(dst []uint8, v uint8) {
	dst[0] = v
	for n := 1; n < len(dst); n *= 2 {
		copy(dst[n:], dst[:n])
	}
}

// mixed writes pixel i, which is no flat colour: a gradient's, or an edge's, unmixed.
func (sp *spotter) mixed(img *artwork.Image, class []uint8, out []*raster.Plane, regions *raster.Regions, i int) {
	v := premultiplied([4]uint8(img.Pix[4*i : 4*i+4]))
	seen := sp.around(class, img.Width, img.Height, i%img.Width, i/img.Width)
	if len(sp.fades) > 0 && sp.fading(img, class, out, regions, i, v, seen) {
		return
	}
	m := sp.unmix(v, seen)
	regions.A[i], regions.B[i], regions.Share[i] = sp.labels[m.a], sp.labels[m.b], m.share
	for _, k := range sp.plates[m.a] {
		out[k].Pix[i] = addClipped(out[k].Pix[i], m.share)
	}
	for _, k := range sp.plates[m.b] {
		out[k].Pix[i] = addClipped(out[k].Pix[i], 255-m.share)
	}
}

func addClipped(a, b uint8) uint8 { return uint8(min(int(a)+int(b), 255)) }

// edgeReach is how far from an edge pixel its two colours may stand: blended edges are one to three pixels wide.
const edgeReach = 3

// around is the set of flat colours near a pixel, one bit each.
func (sp *spotter) around(class []uint8, width, height, x, y int) uint32 {
	var seen uint32
	for reach := 1; reach <= edgeReach; reach++ {
		for v := max(0, y-reach); v <= min(height-1, y+reach); v++ {
			for _, c := range class[v*width+max(0, x-reach) : v*width+min(width, x+reach+1)] {
				if c < fadePixel {
					seen |= 1 << c
				}
			}
		}
		if seen&(seen-1) != 0 && reach >= 2 { // two colours, found with some room
			break
		}
	}
	return seen
}

// blendOf is a mix of two flat colours: share of a in 255, the rest b.
type blendOf struct {
	a, b  int
	share uint8
}

// unmix finds the pair of colours, among those seen near by, that blends best into v. With one seen it is that and any
// other, as strokes have it that are too thin for a pixel of their own; with none the nearest colour of all.
func (sp *spotter) unmix(v rgba, seen uint32) blendOf {
	alone := seen&(seen-1) == 0
	best, least := blendOf{}, 1e18
	for a := range sp.colors {
		for b := range a {
			if both := seen>>a&1 + seen>>b&1; both == 0 || both == 1 && !alone {
				continue
			}
			if t, far := between(v, sp.colors[b], sp.colors[a]); far < least {
				best, least = blendOf{a, b, uint8(float64(t*255) + 0.5)}, far
			}
		}
	}
	if least < 1e18 {
		return best
	}
	for a := range sp.colors {
		if _, far := between(v, sp.colors[a], sp.colors[a]); far < least {
			best, least = blendOf{a, a, 255}, far
		}
	}
	return best
}

// between projects v on the way from b to a: t 0..1 along it, and the squared distance from it.
func between(v, b, a rgba) (t, far float64) {
	num, den := 0.0, 0.0
	for c := range 4 {
		d := a[c] - b[c]
		num += float64(d * (v[c] - b[c]))
		den += float64(d * d)
	}
	if den > 0 {
		t = min(max(num/den, 0), 1)
	}
	for c := range 4 {
		d := b[c] + float64(t*(a[c]-b[c])) - v[c]
		far += float64(d * d)
	}
	return t, far
}

// trap lets every colour reach under those printed after it, so that a register error opens no gap. It asks ctx once
// a plate.
func (sp *spotter) trap(ctx context.Context, planes []*raster.Plane) {
	rx, ry := sp.choke.radiusOf(sp.trapMM, planes[0].Width, planes[0].Height)
	if rx <= 0 || ry <= 0 {
		return
	}
	later := raster.NewPlane(planes[0].Width, planes[0].Height)
	for k := len(planes) - 1; k >= 0; k-- {
		if k == sp.base || k == sp.over || ctx.Err() != nil {
			continue
		}
		own := append([]uint8{}, planes[k].Pix...)
		grown := raster.Grow(ctx, planes[k], rx, ry)
		if ctx.Err() != nil {
			return
		}
		for i, v := range own {
			planes[k].Pix[i] = max(v, min(grown.Pix[i], addClipped(v, later.Pix[i])))
		}
		for i, v := range own {
			later.Pix[i] = addClipped(later.Pix[i], v)
		}
	}
}
