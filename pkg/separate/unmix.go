package separate

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
