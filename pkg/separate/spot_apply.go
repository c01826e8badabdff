package separate

import (
	"context"
	"slices"

	"tamis/pkg/artwork"
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
	pxWide int // of the artwork
	pxHigh int
	butts  bool // whether two inks are cut edge to edge, as far as the digest tells
}

// rgba is a premultiplied colour, 0..255 a channel.
type rgba [4]float64

func (s *spotJob) applier(ly layers, plateOf []int) *spotter {
	sp := &spotter{looks: [][]int{nil}, count: len(ly.inks), base: ly.base, trapMM: s.req.TrapMM}
	sp.pxWide, sp.pxHigh = s.insp.Width, s.insp.Height
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
	sp.addFades(s.ways, ly.stack(s.req), s.req.groundRGB())
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
			f.each(f.at(v), func(k int, tone uint8) { plates[k].inks(float64(tone)/255, share) })
			return
		}
		m := sp.unmix(v, 1<<len(sp.colors)-1)
		for _, k := range sp.plates[m.a] {
			plates[k].inks(1, float64(share*float64(m.share)/255))
		}
		for _, k := range sp.plates[m.b] {
			plates[k].inks(1, float64(share*float64(255-m.share)/255))
		}
	}
	for _, b := range d.Bins {
		add(premultipliedBin(b.StillRGB, b.Alpha), b.Still, true)
		add(premultipliedBin(b.RGB, b.Alpha), b.Share-b.Still, false)
	}
	sp.spread(d, plates)
}

// separation classifies all pixels, unmixes the edges, then traps and chokes.
func (sp *spotter) separation(
	ctx context.Context,
	img *artwork.Image,
	progress func(done, total int),
) (*Separation, error) {
	s, quiet := sp.newSorting(img), func(int, int) {}
	if err := rowsInParallel(ctx, img.Height, quiet, s.classify); err != nil {
		return nil, err
	}
	err := rowsInParallel(ctx, img.Height, progress, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			s.row(y)
		}
	})
	if err != nil {
		return nil, err
	}
	sp.trap(ctx, s.planes)
	var findings []artwork.Finding
	if sp.base >= 0 && ctx.Err() == nil {
		findings = sp.choke.cutHold(ctx, s.planes)
	}
	if ctx.Err() != nil {
		return nil, canceled(ctx.Err())
	}
	return &Separation{Planes: s.planes, Shapes: sp.shapes(s.regions), Findings: findings}, nil
}
