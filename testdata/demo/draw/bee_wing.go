package draw

import (
	"math"
	"slices"
)

// wingPlan is a left wing: its border, veins as knots of smooth lines from the root outward, and how wide the border is
// at the root of its leading edge.
type wingPlan struct {
	border []pt
	veins  [][]pt
	leadPX float64 // 0: no wider than elsewhere
}

const borderPX = 17

func foreWing() wingPlan {
	return wingPlan{
		border: smoothLoop(pt{1078, 800}, pt{900, 640}, pt{700, 520}, pt{480, 455}, pt{330, 470}, pt{268, 545}, pt{310, 650},
			pt{450, 750}, pt{660, 826}, pt{880, 862}, pt{1060, 858}),
		veins: [][]pt{
			{{1070, 812}, {900, 690}, {720, 585}, {560, 520}, {470, 500}},
			{{1070, 828}, {880, 760}, {700, 690}, {560, 640}, {420, 622}, {330, 600}},
			{{1066, 842}, {880, 815}, {700, 770}, {560, 742}, {470, 726}},
			{{800, 634}, {770, 680}, {742, 706}},
			{{640, 550}, {622, 610}, {600, 654}},
			{{520, 508}, {500, 570}, {470, 628}},
			{{742, 706}, {730, 745}, {715, 774}},
			{{590, 650}, {596, 700}, {580, 746}},
			{{470, 628}, {478, 670}, {490, 730}},
			{{560, 520}, {440, 540}, {350, 560}, {290, 570}},
			{{420, 622}, {400, 660}, {386, 700}},
		},
		leadPX: 30,
	}
}

func hindWing() wingPlan {
	return wingPlan{
		border: smoothLoop(pt{1076, 904}, pt{900, 902}, pt{720, 898}, pt{560, 918}, pt{488, 983}, pt{520, 1068},
			pt{640, 1128}, pt{800, 1126}, pt{940, 1058}, pt{1066, 944}),
		veins: [][]pt{
			{{1066, 918}, {900, 930}, {740, 938}, {600, 952}, {520, 988}},
			{{1062, 928}, {920, 978}, {780, 1018}, {660, 1042}, {560, 1058}},
			{{1062, 936}, {950, 1008}, {860, 1068}, {790, 1108}},
			{{820, 934}, {812, 968}, {800, 1010}},
			{{690, 942}, {676, 988}, {664, 1040}},
			{{760, 1024}, {720, 1068}, {698, 1130}},
		},
	}
}

// wing draws a plan: a heavy border and fine veins over the bare ground.
func (b *bee) wing(w wingPlan, left bool) {
	b.cut(half(outline(shape{w.border}, 60), left))
	b.cut(half(shape{clockwise(w.border)}, left))
	for _, v := range w.veins {
		b.fill(b.ink, half(stroke(smooth(w.landed(v)...), veinPX), left))
	}
	b.fill(b.ink, half(outline(shape{w.border}, borderPX), left))
	if w.leadPX > 0 {
		lead := w.border[:len(w.border)*4/11]
		b.fill(b.ink, half(taper(lead, w.leadPX, borderPX), left))
	}
}

// landed gives a long vein run on, the way it heads, to the border; cross veins (three knots) end where they are drawn.
func (w wingPlan) landed(vein []pt) []pt {
	if len(vein) < 4 {
		return vein
	}
	last := vein[len(vein)-1]
	heading := last.sub(vein[len(vein)-2])
	end, aside := last, math.Inf(1)
	for _, p := range w.border {
		d := p.sub(last)
		off := math.Abs(d.x*heading.y - d.y*heading.x)
		if ahead := d.x*heading.x+d.y*heading.y > 0; ahead && off < aside {
			end, aside = p, off
		}
	}
	return append(slices.Clone(vein), end)
}

// legs draws three legs of one side, each of three parts with a bridge between them.
func (b *bee) legs(left bool) {
	for _, leg := range [][]pt{
		{{1105, 745}, {1012, 640}, {955, 560}, {890, 520}},
		{{1080, 960}, {940, 1150}, {850, 1180}, {750, 1270}},
		{{1090, 985}, {925, 1260}, {880, 1420}, {790, 1570}},
	} {
		widths := []float64{26, 34, 20, 10}
		for i := range 3 {
			a, z := leg[i].lerp(leg[i+1], 0.04), leg[i].lerp(leg[i+1], 0.86)
			bow := a.lerp(z, 0.5).add(pt{-12, -10})
			b.fill(b.ink, half(taper(smooth(a, bow, z), widths[i], widths[i+1]), left))
		}
	}
}
