package halftone

import (
	"encoding/binary"
	"math"
	"os"
	"slices"
	"testing"
)

// Clusters of light tones are discs whose centres lie evenly, any number of the first ones; from there on each point
// inks where a kernel says: near points attract, those half a wave away repel. Lengths are in points of the mask. A
// narrow band (the ratio) makes worms alike; repelling more than attracting in all (the balance) keeps the tone even
// over large areas. Centres shaken down any further lie in rows, as crystals do, and show a direction. Ours; found by
// looking at the masks of some forty settings, and held by TestClustersAreGreenNoise.
const (
	greenWave    = 11.0 // the spacing at mid-tone: worms are half of it wide
	greenRatio   = 1.4  // width of the repelling Gaussian over that of the attracting one
	greenBalance = 1.3  // its weight over the other's
	greenReach   = 14   // 4 times the wider Gaussian
	greenDiscs   = 440  // a wave apart, as closely as they lie at random
	greenRadius2 = 5    // squared: discs of 21 points
	greenTries   = 10   // a disc already there, for the place of the next
	greenHoles   = 0.15 // the bare share up to which holes close whole
	greenSeed    = 4
)

// greenKernel is the difference of two Gaussians whose spectrum is lowest at the wave.
func greenKernel() [][]int64 {
	const ratio2 = greenRatio * greenRatio
	near := greenWave * math.Sqrt(math.Log(greenBalance*ratio2)/(2*math.Pi*math.Pi*(ratio2-1)))
	far := near * greenRatio
	return kernelOf(greenReach, func(x, y float64) float64 {
		r2 := float64(x*x) + float64(y*y)
		return float64(greenBalance/ratio2*math.Exp(-r2/(2*far*far))) - math.Exp(-r2/(2*near*near))
	})
}

// makeGreenMask makes the mask.
func makeGreenMask() []uint32 {
	l := lattice{width: greenSide, rows: greenSide}
	t := newTorus(l, greenKernel())
	rank := make([]uint32, l.size())
	next := 0
	for _, centre := range evenCentres() {
		var disc []int
		for dy := -3; dy <= 3; dy++ {
			for dx := -3; dx <= 3; dx++ {
				at := l.index(centre%greenSide+dx, centre/greenSide+dy)
				if dx*dx+dy*dy <= greenRadius2 && !t.ink[at] {
					disc = append(disc, at)
					t.flip(at)
				}
			}
		}
		for _, at := range disc {
			rank[at] = uint32(next + len(disc)/2)
		}
		next += len(disc)
	}
	for ; next < l.size(); next++ {
		at := t.largestVoid()
		t.flip(at)
		rank[at] = uint32(next)
	}
	wholeHoles(rank)
	return rank
}

// evenCentres places discs one after another, each the farthest from those before of some places drawn at random.
//
// Source: D. P. Mitchell, Computer Graphics 25 (SIGGRAPH 1991) 157-164 (the best candidate).
func evenCentres() []int {
	var centres []int
	draw := uint64(greenSeed)
	for len(centres) < greenDiscs {
		best, farthest := 0, -1
		for range greenTries * (len(centres) + 1) {
			draw = draw*6364136223846793005 + 1442695040888963407 // as firstPattern does
			at, nearest := int(draw>>33)%(greenSide*greenSide), greenSide*greenSide
			for _, c := range centres {
				dx, dy := apart(at, c)
				nearest = min(nearest, dx*dx+dy*dy)
			}
			if nearest > farthest {
				best, farthest = at, nearest
			}
		}
		centres = append(centres, best)
	}
	return centres
}

// wholeHoles ranks the points that ink last a piece at a time, each piece's points at the rank in its middle; those that
// stay bare to the end lie evenly.
func wholeHoles(rank []uint32) {
	next := int((1 - greenHoles) * float64(len(rank)))
	first := uint32(next)
	pieces := piecesOf(greenSide, greenSide, func(at int) bool { return rank[at] >= first })
	order := evenOrder(pieces)
	slices.Reverse(order)
	for _, n := range order {
		for _, at := range pieces[n] {
			rank[at] = uint32(next + len(pieces[n])/2)
		}
		next += len(pieces[n])
	}
}

// piecesOf lists the pieces of a pattern of so many columns and rows that repeats, each as its points, joined by their
// sides.
func piecesOf(columns, rows int, in func(at int) bool) [][]int {
	var pieces [][]int
	seen := make([]bool, columns*rows)
	for start := range seen {
		if seen[start] || !in(start) {
			continue
		}
		seen[start] = true
		piece := []int{start}
		for n := 0; n < len(piece); n++ {
			x, y := piece[n]%columns, piece[n]/columns
			for _, d := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				at := mod(y+d[1], rows)*columns + mod(x+d[0], columns)
				if !seen[at] && in(at) {
					seen[at] = true
					piece = append(piece, at)
				}
			}
		}
		pieces = append(pieces, piece)
	}
	return pieces
}

// evenOrder orders pieces so that any number of the first lies evenly: from all of them the tightest is taken away,
// again and again, crowding being a Gaussian as wide as half the spacing of those left.
func evenOrder(pieces [][]int) []int {
	left, order := make([]int, len(pieces)), make([]int, len(pieces))
	for i := range left {
		left[i] = i
	}
	for n := len(pieces) - 1; n >= 0; n-- {
		width := greenSide / 2 / math.Sqrt(float64(len(left)))
		tightest, most := 0, int64(-1)
		for i, p := range left {
			crowd := int64(0)
			for _, q := range left {
				dx, dy := apart(pieces[p][0], pieces[q][0])
				crowd += int64(math.Round((1 << 32) * math.Exp(-float64(dx*dx+dy*dy)/(2*width*width))))
			}
			if crowd > most {
				tightest, most = i, crowd
			}
		}
		order[n] = left[tightest]
		left = append(left[:tightest], left[tightest+1:]...)
	}
	return order
}

// apart is how far two points lie from each other on the torus.
func apart(a, b int) (dx, dy int) {
	dx, dy = abs(a%greenSide-b%greenSide), abs(a/greenSide-b/greenSide)
	return min(dx, greenSide-dx), min(dy, greenSide-dy)
}

func TestStoredGreenMaskIsTheGeneratorsOwn(t *testing.T) {
	mask := makeGreenMask()
	var data []byte
	for _, rank := range mask {
		data = binary.LittleEndian.AppendUint16(data, uint16(rank))
	}
	if *update {
		if err := os.WriteFile("green256.bin", data, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if greenFile != string(data) {
		t.Error("the stored mask is not what the generator makes; -update writes it anew")
	}
}
