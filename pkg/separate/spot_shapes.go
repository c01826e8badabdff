package separate

import (
	"context"
	"slices"

	"tamis/pkg/raster"
)

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
