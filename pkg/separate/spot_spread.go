package separate

import (
	"math"
	"slices"

	"tamis/pkg/artwork"
)

// edgeOfBlend is the length of border, in pixels, that blended pixels stand for, each counted as 4 t (1-t): where the
// border lies by chance on one blended pixel across, that is 2/3 on the average.
//
// Ours; TestCoverageOfDemoArtCountsTrapAndChoke holds it.
const edgeOfBlend = 1.5

// borders estimates, from the digest, how long the borders between each two flat colours are: pixels of border for
// each pixel of the artwork.
type borders struct {
	length [][]float64 // [colour][colour]
	area   []float64   // of each colour, share of the print box
}

// bordersOf counts the pixels that are blends of two colours.
func (sp *spotter) bordersOf(d *artwork.Digest) *borders {
	n := len(sp.colors)
	b := &borders{length: make([][]float64, n), area: make([]float64, n)}
	for i := range b.length {
		b.length[i] = make([]float64, n)
	}
	b.area[n-1] = d.Transparent
	for _, bin := range d.Bins {
		if bin.Still > 0 {
			m := sp.unmix(premultipliedBin(bin.StillRGB, bin.Alpha), 1<<n-1)
			b.add(m, bin.Still, 0)
		}
		if moving := bin.Share - bin.Still; moving > 0 {
			m := sp.unmix(movingColor(bin), 1<<n-1)
			t := float64(m.share) / 255
			b.add(m, moving, float64(4*edgeOfBlend*moving*t*(1-t)))
		}
	}
	return b
}

func (b *borders) add(m blendOf, share, length float64) {
	b.area[m.a] += float64(share * float64(m.share) / 255)
	b.area[m.b] += float64(share * float64(255-m.share) / 255)
	b.length[m.a][m.b] += length
	b.length[m.b][m.a] += length
}

// movingColor is the mean colour of a bin's pixels that do not lie still, premultiplied.
func movingColor(b artwork.Bin) rgba {
	rgb, moving := b.RGB, b.Share-b.Still
	if b.Alpha == 1 {
		for c := range rgb {
			rgb[c] = min(max((float64(b.RGB[c]*b.Share)-float64(b.StillRGB[c]*b.Still))/moving, 0), 255)
		}
	}
	return premultipliedBin(rgb, b.Alpha)
}

// spread adds what plates gain by the trap to their coverage and takes off what the underbase loses by the choke.
func (sp *spotter) spread(d *artwork.Digest, plates []Plate) {
	b := sp.bordersOf(d)
	sp.butts = b.butt(sp)
	rx, ry := sp.choke.radiusOf(sp.trapMM, sp.pxWide, sp.pxHigh)
	for k := range plates {
		if k != sp.base && k != sp.over {
			plates[k].inks(1, b.reach((rx+ry)/2, func(i int) bool { return slices.Contains(sp.plates[i], k) },
				func(i int) bool { return !slices.Contains(sp.plates[i], k) && sp.printsAfter(i, k) }))
		}
	}
	if sp.base >= 0 {
		rx, ry = sp.choke.radiusOf(sp.choke.chokeMM, sp.pxWide, sp.pxHigh)
		plates[sp.base].inks(1, -b.reach((rx+ry)/2, func(i int) bool { return len(sp.plates[i]) == 0 },
			func(i int) bool { return len(sp.plates[i]) > 1 && slices.Contains(sp.plates[i], sp.base) }))
	}
}

// leastJoint is the border between two inks, in pixels for each of the artwork's, that is more than blends taken for one.
// Ours: a border across a picture of 2000 pixels is a 2000th.
const leastJoint = 0.0001

// butt tells whether two flat colours that border on one another print on topmost plates of which one would reach under
// the other, were there a trap. In art of hard edges no blend tells where colours meet: there any two are taken to.
func (b *borders) butt(sp *spotter) bool {
	hard := true
	for i := range b.area {
		for j := range i {
			hard = hard && b.length[i][j] <= leastJoint
		}
	}
	for i := range b.area {
		for j := range i {
			p, q := sp.top(i), sp.top(j)
			if p > q {
				p, q = q, p
			}
			if p >= 0 && p != q && p != sp.base && q != sp.over && (hard || b.length[i][j] > leastJoint) {
				return true
			}
		}
	}
	return false
}

// printsAfter tells whether colour i prints on a plate after k that plate k reaches under.
func (sp *spotter) printsAfter(i, k int) bool {
	return slices.ContainsFunc(sp.plates[i], func(p int) bool { return sp.trapsUnder(k, p) })
}

// ownBorders is how much of what a plate may reach into is about its own borders: between all (1 of the exponent: of
// a colour that has a third of its border with the plate, a third) and any (0). Ours; the same test holds it.
const ownBorders = 0.75

// reach is the area, share of the print box, within so many pixels of borders with colours from in colours into. Near
// borders count once: what they have in common grows as if they lay by chance in the area about them.
func (b *borders) reach(widthPX float64, from, into func(i int) bool) float64 {
	length, others, area := 0.0, 0.0, 0.0
	for i := range b.area {
		if !into(i) {
			continue
		}
		area += b.area[i]
		for j := range b.area {
			switch {
			case from(j):
				length += b.length[i][j]
			case !into(j):
				others += b.length[i][j]
			}
		}
	}
	if area == 0 || length == 0 {
		return 0
	}
	area *= math.Pow(length/(length+others), ownBorders)
	return area * -math.Expm1(-length*widthPX/area)
}
