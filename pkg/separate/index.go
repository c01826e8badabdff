package separate

import (
	"context"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
	"tamis/pkg/raster"
)

// indexDPI is the usual resolution of square-dot separations. Practice: 140 to 200 dpi.
const indexDPI = 170

// index gives every pixel one ink or none: the table holds, instead of coverages, the shares of the colours a pixel
// can take, and blue noise or a diffusion of those shares picks one.
func (j *job) index() (*Recipe, error) {
	if j.req.PrintWidthMM <= 0 || j.req.PrintHeightMM <= 0 {
		return nil, fault.Invalidf("/print/width_mm", "print_size_missing", "index needs the print's size")
	}
	l := j.newLadder(spotInks(j.req.Inks), whiteInk(j.req.Inks))
	l.try, l.rendering = l.tryIndex, Line
	rungs, choices := l.climb(j.req.MaxScreens)
	if len(rungs) == 0 {
		return nil, tooFewScreens(j.req.MaxScreens)
	}
	m := &menu{rungs, func(at int) *Recipe { return l.printed(choices[at], j.indexed) }}
	return m.within(j.req, knee), nil
}

// indexed is the recipe of these layers.
func (j *job) indexed(ly layers) *Recipe {
	m := newMixer(ly, j.req)
	d := &diffuser{
		mix: m, ground: j.req.groundRGB(), plates: len(ly.inks), dither: j.req.IndexDither,
		lookup: j.req.Tables.of(keyOf(Index, ly, j.req), func() *lookup { return newLookup(m.table(j.req.groundRGB())) }),
		width:  max(1, int(j.req.PrintWidthMM/25.4*j.req.IndexDPI+0.5)),
		height: max(1, int(j.req.PrintHeightMM/25.4*j.req.IndexDPI+0.5)),
	}
	r := &Recipe{
		Method:  Index,
		Plates:  ly.plates(Line, true),
		request: j.req,
		stack:   ly.stack(j.req),
		apply:   d,
	}
	d.predict(j, r)
	for i := range r.Plates {
		r.Plates[i].Why = why(r.Plates[i])
	}
	return r
}

// mixer is what one pixel of an index print can be: bare, the underbase alone, or an ink (on the underbase where
// there is one, unless it is black).
type mixer struct {
	light  []ink.Light
	plates [][]int
}

func newMixer(ly layers, req Request) *mixer {
	stack := ly.stack(req)
	m := &mixer{}
	add := func(on ...int) {
		cov := make([]float64, stack.Len())
		for _, k := range on {
			cov[k] = 1
		}
		m.light, m.plates = append(m.light, stack.Light(cov)), append(m.plates, on)
	}
	add()
	for k := range ly.inks {
		if k == ly.base || ly.base < 0 || ly.roles[k] == Black {
			add(k)
		} else {
			add(ly.base, k)
		}
	}
	return m
}

// mixed is the light of a mixture, side by side.
func (m *mixer) mixed(share []float64) ink.Light {
	var e ink.Light
	for i, w := range share {
		for c := range 3 {
			e[c] += float64(w * m.light[i][c])
		}
	}
	return e
}

// mixEvenly keeps shares unique where several mixtures give one colour, and so the table smooth.
const mixEvenly = 4.0

// solve finds shares, 0..1 and summing to 1, whose mixture comes nearest to the aim: Gauss-Newton, its bounded step by
// moving share between pairs.
func (m *mixer) solve(a *aim, share []float64) {
	for i := range share {
		share[i] = 1 / float64(len(share))
	}
	cols := make([][3]float64, len(share))
	next := make([]float64, len(share))
	damping := 0.0
	now := m.objective(a, share)
	for range 12 {
		lab, slope := m.mixed(share).LabSlope()
		r, t := a.residual(lab), a.times(slope)
		for i := range cols {
			for k := range 3 {
				g := m.light[i]
				cols[i][k] = float64(t[k][0]*g[0]) + float64(t[k][1]*g[1]) + float64(t[k][2]*g[2])
			}
		}
		copy(next, share)
		exchange(next, share, cols, r, damping)
		if then := m.objective(a, next); then < now {
			copy(share, next)
			if now-then < 1e-6 {
				return
			}
			now, damping = then, damping/4
			continue
		}
		damping = 8*damping + 50
	}
}

func (m *mixer) objective(a *aim, share []float64) float64 {
	v := half(a.residual(m.mixed(share).Lab()))
	for _, w := range share {
		v += mixEvenly / 2 * w * w
	}
	return v
}

// exchange moves share between all pairs, a few rounds, to the minimum of the linear model.
func exchange(w, from []float64, cols [][3]float64, r [3]float64, damping float64) {
	for range 4 {
		for i := range w {
			for j := range i {
				var d [3]float64
				slope, curve := 0.0, 0.0
				for k := range 3 {
					d[k] = cols[i][k] - cols[j][k]
					slope += float64(d[k] * r[k])
					curve += float64(d[k] * d[k])
				}
				slope += float64(mixEvenly*(w[i]-w[j])) + float64(damping*(w[i]-from[i]-w[j]+from[j]))
				curve += 2 * (mixEvenly + damping)
				move := min(max(-slope/curve, -w[i]), w[j])
				w[i] += move
				w[j] -= move
				for k := range 3 {
					r[k] += float64(d[k] * move)
				}
			}
		}
	}
}

// table solves every node. The garment's own node is bare.
func (m *mixer) table(ground color.RGB8) *table {
	t := &table{inks: len(m.light), knots: knotsFor(ground)}
	t.cov = make([]float64, nodes*nodes*nodes*t.inks)
	aims, bare := t.aims(0), t.nodeAt(ground)
	cores.Each(len(aims), func(i int) {
		if i == bare {
			t.node(i)[0] = 1
			return
		}
		m.solve(&aims[i], t.node(i))
	})
	return t
}

// tryIndex is tryTones for a choice printed as index.
func (l *ladder) tryIndex(c choice, on []target, hopeless func(i int, err float64) bool) trial {
	ly := l.layersOf(c)
	m := newMixer(ly, l.req)
	share := make([]float64, len(m.light))
	n := len(ly.inks)
	out := trial{make([]float64, len(on)), make([]float64, len(on)*n)}
	for i, t := range on {
		a := newAim(t.lab, 0)
		m.solve(&a, share)
		out.errs[i] = color.DeltaE00(m.mixed(share).Lab(), t.lab)
		if hopeless != nil && hopeless(i, out.errs[i]) {
			break
		}
		for k, w := range share {
			for _, p := range m.plates[k] {
				out.coverage[i*n+p] += w
			}
		}
	}
	return out
}

// diffuser makes the planes.
type diffuser struct {
	mix           *mixer
	lookup        *lookup
	ground        color.RGB8
	plates        int
	dither        IndexDither
	width, height int // of the index raster
}

// separation resamples the artwork to the index raster and gives each pixel one colour.
func (d *diffuser) separation(
	ctx context.Context,
	img *artwork.Image,
	progress func(done, total int),
) (*Separation, error) {
	small, err := img.ResampledWithin(ctx, d.width, d.height)
	if err != nil {
		return nil, err
	}
	out := make([]*raster.Plane, d.plates)
	for i := range out {
		out[i] = raster.NewPlane(d.width, d.height)
	}
	if d.dither == Diffusion {
		err = d.diffuse(ctx, small, out, progress)
	} else {
		n := newNoise(d.mix)
		err = rowsInParallel(ctx, d.height, progress, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				d.scatter(small, out, n, y)
			}
		})
	}
	if err != nil {
		return nil, err
	}
	return plain(out), nil
}

// diffuse picks the colours row after row: what a row leaves over the next one gets.
func (d *diffuser) diffuse(
	ctx context.Context,
	img *artwork.Image,
	out []*raster.Plane,
	progress func(done, total int),
) error {
	f := newDiffusion(d.lookup.inks, d.width)
	for y := range d.height {
		if y%step == 0 {
			if ctx.Err() != nil {
				return canceled(ctx.Err())
			}
			progress(y, d.height)
		}
		d.row(img, out, f, y)
	}
	progress(d.height, d.height)
	return nil
}

// scatter picks the colours of one row by blue noise. Rows know nothing of one another.
func (d *diffuser) scatter(img *artwork.Image, out []*raster.Plane, n *noise, y int) {
	var share [MaxScreens + 4]uint8
	for x := range d.width {
		i := y*d.width + x
		p := [4]uint8(img.Pix[4*i : 4*i+4])
		if p[3] == 0 {
			continue
		}
		d.lookup.at(blend(p, d.ground), share[:])
		for _, k := range d.mix.plates[n.pick(share[:d.lookup.inks], x, y)] {
			out[k].Pix[i] = 255
		}
	}
}

// row picks the colours of one row by diffusion, even rows from the left, odd ones from the right.
func (d *diffuser) row(img *artwork.Image, out []*raster.Plane, f *diffusion, y int) {
	var share [MaxScreens + 4]uint8
	f.nextRow()
	for n := range d.width {
		x, ahead := n, 1
		if y%2 == 1 {
			x, ahead = d.width-1-n, -1
		}
		i := y*d.width + x
		p := [4]uint8(img.Pix[4*i : 4*i+4])
		if p[3] == 0 {
			f.skip(x)
			continue
		}
		d.lookup.at(blend(p, d.ground), share[:])
		for _, k := range d.mix.plates[f.pick(share[:d.lookup.inks], x, ahead)] {
			out[k].Pix[i] = 255
		}
	}
}

// predict fills coverage and match from the digest.
func (d *diffuser) predict(j *job, r *Recipe) {
	errs := make([]float64, len(j.targets))
	share := make([]float64, d.lookup.inks)
	var bytes [MaxScreens + 4]uint8
	for i, t := range j.targets {
		d.lookup.at(t.rgb, bytes[:])
		for k := range share {
			share[k] = float64(bytes[k]) / 255
			for _, p := range d.mix.plates[k] {
				r.Plates[p].inks(1, float64(t.share*share[k]))
			}
		}
		errs[i] = color.DeltaE00(d.mix.mixed(share).Lab(), t.lab)
	}
	r.MeanE00, r.P95E00 = match(j.targets, errs)
}
