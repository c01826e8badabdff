package halftone

import (
	"encoding/binary"
	"math"
	"os"
	"testing"
)

// The kernel that gathers points into clusters and keeps clusters apart: near points attract, those a wave's half away
// repel. Lengths are in points of the mask. A narrow band (the ratio) makes clusters alike and without direction;
// repelling more than attracting in all (the balance) keeps the tone even over large areas. Ours; found by looking at
// the masks of some twenty settings, and held by the tests of the spectrum.
const (
	greenWave    = 16.0 // the spacing at mid-tone: worms are half of it wide
	greenRatio   = 1.4  // width of the repelling Gaussian over that of the attracting one
	greenBalance = 1.3  // its weight over the other's
	greenFirst   = 0.3  // the tone of the first pattern
	greenWhole   = 0.15 // the tone up to which clusters ink whole, as holes close whole above one less it
	greenReach   = 17   // 3.3 times the wider Gaussian
)

// greenKernel is the difference of two Gaussians whose spectrum is lowest at the wave.
func greenKernel() [][]int64 {
	near := greenWave * math.Sqrt(math.Log(greenBalance*greenRatio*greenRatio)/(2*math.Pi*math.Pi*(greenRatio*greenRatio-1)))
	far := near * greenRatio
	return kernelOf(greenReach, func(x, y float64) float64 {
		r2 := float64(x*x) + float64(y*y)
		return greenBalance/(greenRatio*greenRatio)*math.Exp(-r2/(2*far*far)) - math.Exp(-r2/(2*near*near))
	})
}

// makeGreenMask makes the mask: void and cluster with that kernel, then the ends made of whole clusters and holes.
func makeGreenMask() []uint32 {
	l := lattice{width: greenSide, rows: greenSide}
	first, whole := greenFirst, greenWhole
	rank := newTorus(l, greenKernel()).rankAll(int(first*float64(l.size())), maskSeed)
	ends := uint32(whole * float64(l.size()))
	wholePieces(rank, func(r uint32) bool { return r < ends }, false)
	wholePieces(rank, func(r uint32) bool { return r >= uint32(l.size())-ends }, true)
	return rank
}

// wholePieces ranks the points that belong, a piece at a time, each piece's points at the rank in its middle. The first
// pieces lie evenly; for holes the last ones do.
func wholePieces(rank []uint32, belongs func(rank uint32) bool, holes bool) {
	pieces := piecesOf(func(at int) bool { return belongs(rank[at]) })
	order := evenOrder(pieces)
	next := 0
	for _, r := range rank {
		if !belongs(r) && holes {
			next++ // the holes come after all the others
		}
	}
	for n := range order {
		piece := pieces[order[n]]
		if holes {
			piece = pieces[order[len(order)-1-n]]
		}
		for _, at := range piece {
			rank[at] = uint32(next + len(piece)/2)
		}
		next += len(piece)
	}
}

// piecesOf lists the pieces of a pattern on the mask's torus, each as its points, joined by their sides.
func piecesOf(in func(at int) bool) [][]int {
	var pieces [][]int
	seen := make([]bool, greenSide*greenSide)
	for start := range seen {
		if seen[start] || !in(start) {
			continue
		}
		seen[start] = true
		piece := []int{start}
		for n := 0; n < len(piece); n++ {
			x, y := piece[n]%greenSide, piece[n]/greenSide
			for _, d := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				at := mod(y+d[1], greenSide)*greenSide + mod(x+d[0], greenSide)
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

// evenOrder orders pieces so that any number of the first lies evenly: from all of them the tightest is taken away, again
// and again, crowding being a Gaussian as wide as half the spacing of those left.
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
