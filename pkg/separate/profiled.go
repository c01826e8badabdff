package separate

import (
	"math"

	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
)

// processHues are the CIELAB hue angles, in degrees, of cyan, magenta and yellow printed on paper. Practice: those of
// coated offset; inks of other makes lie within twenty degrees.
var processHues = [3]float64{233, 357, 93}

// profiled separates into cyan, magenta, yellow and black by the shop's output profile. The profile describes a white
// ground; on any other its figures mean nothing.
func (j *job) profiled(set []ink.Ink) (*Recipe, error) {
	if j.req.Ground.L < lightGround {
		return nil, fault.Invalidf("/separation/profile", "profile_needs_light_garment",
			"an output profile describes a white ground; a garment of L %.0f is too dark for it (%d and more will do): leave "+
				"the profile out", j.req.Ground.L, lightGround)
	}
	four, ok := fourColors(set)
	if !ok {
		return nil, fault.Invalidf("/separation/inks", "process_inks_missing",
			"an output profile prints with a cyan, a magenta, a yellow and a black ink of kind process; they are not all there")
	}
	if j.req.MaxScreens < len(four) {
		return nil, fault.Invalidf("/separation/max_screens", "max_screens_range",
			"the profile takes %d screens; max_screens is %d", len(four), j.req.MaxScreens)
	}
	ly := arrange(four[:], nil, nil)
	key := keyOf(Process, ly, j.req)
	key.output = j.req.Output.Sum()
	m := &menu{[]Rung{{Screens: len(four), InkIDs: ly.ids()}}, func(int) *Recipe {
		l := j.req.Tables.of(key, func() *lookup { return newLookup(profileTable(ly, four, j.req)) })
		return j.fromLookup(Process, ly, l)
	}}
	return m.within(j.req, everyColor), nil
}

// fourColors finds the inks that are cyan, magenta, yellow and black.
func fourColors(set []ink.Ink) (four [4]ink.Ink, ok bool) {
	var far [4]float64
	for i := range far {
		far[i] = 60 // degrees: farther from its hue an ink is another colour
	}
	for _, in := range set {
		if in.IsBlack() {
			four[3], far[3] = in, 0
			continue
		}
		hue := math.Atan2(in.OverWhite.B, in.OverWhite.A) * 180 / math.Pi
		for k, want := range processHues {
			if d := math.Abs(math.Remainder(hue-want, 360)); d < far[k] {
				four[k], far[k] = in, d
			}
		}
	}
	return four, four[0].ID != "" && four[1].ID != "" && four[2].ID != "" && four[3].ID != ""
}

// profileTable reads the profile at every node; the garment's own colour is bare.
func profileTable(ly layers, four [4]ink.Ink, req Request) *table {
	ground := req.groundRGB()
	t := &table{inks: len(ly.inks), knots: knotsFor(ground)}
	t.cov = make([]float64, nodes*nodes*nodes*t.inks)
	var plateOf [4]int
	for k := range four {
		for i := range ly.inks {
			if ly.inks[i].ID == four[k].ID {
				plateOf[k] = i
			}
		}
	}
	bare := t.nodeAt(ground)
	cores.Each(nodes*nodes*nodes, func(i int) {
		if i == bare {
			return
		}
		rgb := color.RGB8{R: t.knots[0][i/(nodes*nodes)], G: t.knots[1][i/nodes%nodes], B: t.knots[2][i%nodes]}
		for k, v := range req.Output.CMYK(rgb.Lab()) {
			t.node(i)[plateOf[k]] = v
		}
	})
	return t
}
