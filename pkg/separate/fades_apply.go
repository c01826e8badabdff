package separate

import (
	"slices"

	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// fade is how a way between two flat colours prints: what is under both lies solid, and so does the one that prints
// first; the other's ink goes over it in dots. A fade into the garment is dots of all its plates, each of its own tone.
type fade struct {
	low, high   rgba  // premultiplied: of full and of full with solid dots
	full, toned []int // plates
	label       uint8 // of the regions
	tones       fadeTones
}

// addFades makes the fades of the ways whose colours print differently.
func (sp *spotter) addFades(ways []way, stack *ink.Stack, ground color.RGB8) {
	for _, w := range ways {
		low, high := w[0], w[1]
		if sp.top(low) > sp.top(high) {
			low, high = high, low
		}
		f := fade{low: sp.colors[low], high: sp.colors[high], full: sp.plates[low]}
		for _, k := range sp.plates[high] {
			if !slices.Contains(f.full, k) {
				f.toned = append(f.toned, k)
			}
		}
		if len(f.toned) == 0 {
			continue
		}
		look := append(slices.Clone(f.full), f.toned...)
		slices.Sort(look)
		f.label, sp.looks = uint8(len(sp.looks)), append(sp.looks, look)
		f.solve(stack, ground)
		sp.fades = append(sp.fades, f)
	}
}

// top is the last plate of a flat colour, -1 of none.
func (sp *spotter) top(at int) int {
	if n := len(sp.plates[at]); n > 0 {
		return sp.plates[at][n-1]
	}
	return -1
}

// markFades turns the plates that print dots somewhere into halftones.
func (sp *spotter) markFades(plates []Plate) {
	for _, f := range sp.fades {
		for _, k := range f.toned {
			plates[k].Rendering = Halftone
		}
	}
}

// screens tells whether plate k prints dots in a label, or lies solid under the dots of others as the topmost.
func (sp *spotter) screens(label, k int) bool {
	for _, f := range sp.fades {
		if int(f.label) == label {
			n := len(f.full)
			return slices.Contains(f.toned, k) || n > 0 && f.full[n-1] == k
		}
	}
	return false
}

// fadeOf is the fade that v lies on, nil where it lies on none.
func (sp *spotter) fadeOf(v rgba) (best *fade) {
	least := nearFade * nearFade
	for i := range sp.fades {
		f := &sp.fades[i]
		if _, far := between(v, f.low, f.high); far < least {
			best, least = f, far
		}
	}
	return best
}

// at is how far towards high the picture is at v, in 255ths.
func (f *fade) at(v rgba) uint8 {
	t, _ := between(v, f.low, f.high)
	return uint8(float64(t*255) + 0.5)
}

// each calls put with the plates of the fade and their tones, so far towards high.
func (f *fade) each(at uint8, put func(k int, tone uint8)) {
	for _, k := range f.full {
		put(k, 255)
	}
	for i, k := range f.toned {
		put(k, f.tones[at][i])
	}
}

// fading writes pixel i where it is a gradient's, or an edge between one and a flat colour; false: it is neither.
//
// What lies on a near gradient's own way is of it, flat colours next to it or not: so its ends run on into them.
func (s *sorting) fading(i int, v rgba, seen uint32) bool {
	near := s.nearFade(i)
	if near < 0 {
		return false
	}
	at := s.at(near)
	f := s.fadeOf(at)
	_, off := between(v, f.low, f.high)
	if near == i || off <= nearFade*nearFade/4 {
		f.each(f.at(v), func(k int, tone uint8) { s.planes[k].Pix[i] = tone })
		s.share(i, f.label, f.label, 255)
		return true
	}
	flat, share, least := -1, uint8(0), off
	for k, c := range s.colors {
		if t, far := between(v, c, at); seen>>k&1 != 0 && far < least {
			flat, share, least = k, uint8(float64(t*255)+0.5), far
		}
	}
	if flat < 0 || seen&(seen-1) != 0 && s.blendOff(v, seen) < least {
		return false
	}
	f.each(f.at(at), func(k int, tone uint8) { s.planes[k].Pix[i] = uint8((int(tone)*int(share) + 127) / 255) })
	s.add(i, flat, 255-share)
	s.share(i, f.label, s.labels[flat], share)
	return true
}

// blendOff is how far, squared, v lies off the best blend of two flat colours seen.
func (s *sorting) blendOff(v rgba, seen uint32) float64 {
	m := s.unmix(v, seen)
	_, far := between(v, s.colors[m.b], s.colors[m.a])
	return far
}

// nearFade is the nearest pixel of a gradient within edgeReach of pixel i, itself or ring by ring; -1 where there is
// none.
func (s *sorting) nearFade(i int) int {
	width, height := s.img.Width, s.img.Height
	x, y := i%width, i/width
	for reach := 0; reach <= edgeReach; reach++ {
		for v := max(0, y-reach); v <= min(height-1, y+reach); v++ {
			for u := max(0, x-reach); u <= min(width-1, x+reach); u++ {
				if s.class[v*width+u] == fadePixel {
					return v*width + u
				}
			}
		}
	}
	return -1
}

// stillCodes is how far, in codes a channel, a neighbour may be for a pixel to lie still, as the digest has it.
const stillCodes = 3

// still tells whether pixel i differs little from its four neighbours.
func (s *sorting) still(i int) bool {
	w, h := s.img.Width, s.img.Height
	x, y := i%w, i/w
	return (x == 0 || s.alike(i, i-1)) && (x == w-1 || s.alike(i, i+1)) &&
		(y == 0 || s.alike(i, i-w)) && (y == h-1 || s.alike(i, i+w))
}

func (s *sorting) alike(i, j int) bool {
	a, b := s.img.Pix[4*i:4*i+4], s.img.Pix[4*j:4*j+4]
	for c := range 4 {
		if d := int(a[c]) - int(b[c]); d > stillCodes || d < -stillCodes {
			return false
		}
	}
	return true
}
