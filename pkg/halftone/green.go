package halftone

import (
	_ "embed" // the mask
	"encoding/binary"
	"math"
)

// greenSide is the side of the mask of clusters, in its own points; it holds 440 clusters and so repeats every 9 mm for
// clusters of 200 um.
const greenSide = 256

// greenCluster is the diameter, in points, of a disc as large as the mask's clusters of 21.
const greenCluster = 5.171

// greenFile is the mask's ranks, row by row, two bytes each, little-endian; the points of a light tone's cluster, and of
// a dark tone's hole, share the rank in the middle of theirs. TestStoredGreenMaskIsTheGeneratorsOwn makes it.
//
//go:embed green256.bin
var greenFile string

// scatterClusters lays the mask of clusters over the film. A point of the mask is no whole number of device pixels, so
// the mask's period is rounded to one, and pixels take the point their centre falls on: clusters are the asked size to
// half a percent and as high as wide at any two resolutions. Pixels much smaller than a point are taken in blocks.
//
// Source for the model (clusters of one size spread evenly: green noise): D. L. Lau, G. R. Arce, N. C. Gallagher, Proc.
// IEEE 86 (1998) 2424-2444; for doing it by a mask: the same, J. Opt. Soc. Am. A 16 (1999) 1575-1586.
func (s *Screen) scatterClusters() {
	across, blockX := greenPeriod(s.Spec.ClusterUM, s.Spec.XDPI)
	down, blockY := greenPeriod(s.Spec.ClusterUM, s.Spec.YDPI)
	s.gridX, s.repeat = blockX, blockY
	s.DotXUM = greenCluster / greenSide * float64(across*blockX) * 25400 / s.Spec.XDPI
	s.DotYUM = greenCluster / greenSide * float64(down*blockY) * 25400 / s.Spec.YDPI
	s.strip = lattice{width: across * blockX, rows: down}
	keys := make([]uint64, across*down)
	for y := range down {
		for x := range across {
			at := sampled(y, down)*greenSide + sampled(x, across)
			keys[y*across+x] = uint64(binary.LittleEndian.Uint16([]byte(greenFile[2*at : 2*at+2])))
		}
	}
	places := rankBy(keys)
	share(places, keys)
	s.ranks = len(places)
	s.rank = make([]uint32, s.strip.size())
	for at := range s.rank {
		x, y := at%s.strip.width, at/s.strip.width
		s.rank[at] = places[y*across+x/blockX]
	}
}

// greenPeriod gives the mask's period in blocks and a block's device pixels, for clusters of so many micrometres.
func greenPeriod(clusterUM, dpi float64) (blocks, block int) {
	pixels := clusterUM / greenCluster * dpi / 25400 // of a point
	block = max(1, int(pixels))
	return int(math.Round(greenSide * pixels / float64(block))), block
}

// sampled is the mask's point under the centre of the i-th of n blocks.
func sampled(i, n int) int { return (2*i + 1) * greenSide / (2 * n) }

// share gives the entries of one key, which follow one another in the order of inking, the place in the middle of
// theirs, so that they ink together. places is that order, a permutation.
func share(places []uint32, keys []uint64) {
	at := make([]uint32, len(places))
	for i, place := range places {
		at[place] = uint32(i)
	}
	for from := 0; from < len(at); {
		to := from + 1
		for to < len(at) && keys[at[to]] == keys[at[from]] {
			to++
		}
		for place := from; place < to; place++ {
			places[at[place]] = uint32(from + (to-from)/2)
		}
		from = to
	}
}
