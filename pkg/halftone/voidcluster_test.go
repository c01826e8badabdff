package halftone

import (
	"encoding/binary"
	"flag"
	"os"
	"slices"
	"testing"

	"tamis/pkg/raster"
)

var update = flag.Bool("update", false, "write the stored mask anew")

func TestStoredMaskIsTheGeneratorsOwn(t *testing.T) {
	mask := voidAndCluster(lattice{width: maskSide, rows: maskSide}, 1, maskSeed)
	if *update {
		var data []byte
		for _, rank := range mask {
			data = binary.LittleEndian.AppendUint16(data, uint16(rank))
		}
		if err := os.WriteFile("../raster/mask128.bin", data, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !slices.Equal(raster.BlueNoise(), mask) {
		t.Error("the stored mask is not what the generator makes; -update writes it anew")
	}
}

func TestVoidAndClusterRanksEveryPointOnce(t *testing.T) {
	for _, l := range []lattice{{width: 1, rows: 1}, {width: 7, rows: 1, shift: 3}, {width: 40, rows: 30},
		{width: 257, rows: 2, shift: 27}} {
		rank := voidAndCluster(l, 1, 5)
		slices.Sort(rank)
		for i, r := range rank {
			if int(r) != i {
				t.Fatalf("%+v: rank %d is missing", l, i)
			}
		}
	}
}

func TestRanksRiseWithTheKeysAndTiesKeepTheirOrder(t *testing.T) {
	keys := []uint64{5, 1 << 60, 5, 0, 1 << 33, 5, 1<<60 | 1}
	if got, want := rankBy(keys), []uint32{1, 5, 2, 0, 4, 3, 6}; !slices.Equal(got, want) {
		t.Errorf("ranks %v, want %v", got, want)
	}
}
