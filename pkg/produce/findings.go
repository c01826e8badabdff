package produce

import (
	"bytes"
	"image"
	"image/color"
	"slices"

	"tamis/pkg/artwork"
	tone "tamis/pkg/color"
	"tamis/pkg/pages"
	"tamis/pkg/plan"
)

// The names of the maps.
const (
	gamutFile = "gamut.png"
	thinFile  = "thin.png"
)

// mapPX is the most pixels along a side of a map. Ours: a screen shows it whole.
const mapPX = 1200

// The marks of maps. Ours: no art is grey and coloured like this at once.
var (
	farMark    = color.NRGBA{230, 30, 120, 255}
	strokeMark = color.NRGBA{220, 30, 20, 255}
	gapMark    = color.NRGBA{20, 90, 230, 255}
)

// found adds what only the pixels could tell to the result's warnings.
func (r *run) found(findings []artwork.Finding) {
	list := slices.Clone(r.result.Plan.Warnings)
	for _, f := range findings {
		list = append(list, r.Plan.WarningOf(f, r.art.image.Width, r.art.image.Height))
	}
	r.result.Plan.Warnings = list
}

// maps puts pictures of where the plan's warnings apply: gamut.png of colours out of reach, thin.png of strokes, gaps
// and specks that the meshes do not hold safely. A job without such warnings has no such files.
func (r *run) maps() error {
	var far, thin bool
	for _, w := range r.Plan.Doc.Warnings {
		far = far || w.Code == "out_of_gamut"
		thin = thin || w.Code == "thin_strokes" || w.Code == "gaps_close" || w.Code == "tiny_specks"
	}
	if !far && !thin {
		return nil
	}
	if err := r.art.image.Whole(); err != nil {
		return err
	}
	if far {
		if err := r.putMap(gamutFile, gamutMap(r.Plan, r.art.image.Reduced(mapPX))); err != nil {
			return err
		}
	}
	if !thin {
		return nil
	}
	picture, err := r.thinMap()
	if err != nil {
		return err
	}
	return r.putMap(thinFile, picture)
}

func (r *run) putMap(name string, picture *image.NRGBA) error {
	var b bytes.Buffer
	if err := artwork.WritePNG(&b, picture.Pix, picture.Rect.Dx(), picture.Rect.Dy()); err != nil {
		return err
	}
	_, err := r.putBytes(name, pngType, b.Bytes())
	return err
}

// gamutMap is the artwork, dimmed, with the colours out of reach marked. Colours are judged to 5 bits a channel: a
// picture has some thousands of those.
func gamutMap(p *plan.Plan, art *artwork.Image) *image.NRGBA {
	ground := p.Recipe.Ground().RGB8()
	out := dimmed(art, ground)
	const unknown, near, far = 0, 1, 2
	var seen [1 << 15]uint8
	for i := 0; i < len(art.Pix); i += 4 {
		if art.Pix[i+3] == 0 {
			continue
		}
		c := laid(art.Pix[i:], ground)
		at := int(c.R>>3)<<10 | int(c.G>>3)<<5 | int(c.B>>3)
		if seen[at] == unknown {
			seen[at] = near
			if p.Far(tone.RGB8{R: c.R&^7 | 4, G: c.G&^7 | 4, B: c.B&^7 | 4}, 1) {
				seen[at] = far
			}
		}
		if seen[at] == far {
			*(*[3]uint8)(out.Pix[i:]) = [3]uint8{farMark.R, farMark.G, farMark.B}
		}
	}
	return out
}

// dimmed is the artwork on the garment in greys between those of the marks.
func dimmed(art *artwork.Image, ground tone.RGB8) *image.NRGBA {
	out := &image.NRGBA{Pix: pages.Make[uint8](len(art.Pix)), Stride: 4 * art.Width,
		Rect: image.Rect(0, 0, art.Width, art.Height)}
	for i := 0; i < len(art.Pix); i += 4 {
		c := laid(art.Pix[i:], ground)
		grey := uint8(96 + (2*int(c.R)+5*int(c.G)+int(c.B))/8/2)
		*(*[4]uint8)(out.Pix[i:]) = [4]uint8{grey, grey, grey, 255}
	}
	return out
}

// laid is a pixel on the garment.
func laid(p []uint8, ground tone.RGB8) tone.RGB8 {
	return plan.Over(tone.RGB8{R: p[0], G: p[1], B: p[2]}, float64(p[3])/255, ground)
}

// thinMap is the artwork, dimmed, with the middles of what is too thin marked: red for strokes and specks, blue for
// gaps.
func (r *run) thinMap() (*image.NRGBA, error) {
	art, insp := r.art.image, r.Plan.Input.Inspection
	marks, err := art.Marks(r.ctx, insp.Kind, insp.Colors, float64(art.Width))
	if err != nil {
		return nil, err
	}
	small := art.Reduced(mapPX)
	out := dimmed(small, r.Plan.Recipe.Ground().RGB8())
	judge, pixelMM := r.Plan.Judge(), r.Plan.Doc.Print.WidthMM/float64(art.Width)
	for _, m := range marks {
		p := art.Pix[4*(m.Y*art.Width+m.X):]
		about, _ := insp.Overview.MeanColor(insp.Overview.At(m.X, m.Y, art.Width, art.Height))
		v := judge.Of(m.Kind, tone.RGB8{R: p[0], G: p[1], B: p[2]}, about)
		if m.WidthPX*pixelMM >= v.SafeMM {
			continue
		}
		paint, half := strokeMark, 1
		if v.Gap {
			paint = gapMark
		}
		if m.Speck {
			half = 3
		}
		dot(out, m.X*small.Width/art.Width, m.Y*small.Height/art.Height, half, paint)
	}
	return out, nil
}

// dot paints a square of 2 half + 1 pixels about a place.
func dot(m *image.NRGBA, x, y, half int, c color.NRGBA) {
	for v := max(0, y-half); v <= min(m.Rect.Dy()-1, y+half); v++ {
		for u := max(0, x-half); u <= min(m.Rect.Dx()-1, x+half); u++ {
			m.SetNRGBA(u, v, c)
		}
	}
}
