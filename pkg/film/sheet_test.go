package film

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	xtiff "golang.org/x/image/tiff"

	"tamis/pkg/fault"
	"tamis/pkg/raster"
)

// TestSheetsReadBackThroughLibtiffAndPage writes bitmaps row by row and reads them twice.
func TestSheetsReadBackThroughLibtiffAndPage(t *testing.T) {
	dir, r := t.TempDir(), rand.New(rand.NewPCG(3, 3))
	for _, size := range [][2]int{{1, 1}, {63, 255}, {64, 256}, {300, 257}, {1000, 513}} {
		b := hostile(r, size[0], size[1])
		sheet := Sheet{WidthPX: size[0], HeightPX: size[1], Device: Device{XDPI: 600, YDPI: 300}, Name: "nest"}
		f, y := new(file), 0
		n, err := sheet.Write(t.Context(), f, func(row []uint64) error {
			copy(row, b.Row(y))
			y++
			return nil
		}, nil)
		if err != nil || n != int64(len(f.bytes)) {
			t.Fatalf("%v: %d bytes of %d, %v", size, n, len(f.bytes), err)
		}
		in, out := filepath.Join(dir, "in.tif"), filepath.Join(dir, "out.tif")
		if err := os.WriteFile(in, f.bytes, 0o600); err != nil {
			t.Fatal(err)
		}
		run(t, "tiffcp", "-c", "none", in, out)
		plain, err := os.Open(out)
		if err != nil {
			t.Fatal(err)
		}
		img, err := xtiff.Decode(plain)
		if err := errors.Join(err, plain.Close()); err != nil {
			t.Fatal(err)
		}
		sameBits(t, "libtiff", b, blackAt(img))
		page, err := OpenPage(bytes.NewReader(f.bytes), size[0], size[1])
		if err != nil {
			t.Fatal(err)
		}
		again := raster.NewBitmap(size[0], size[1])
		for y := range again.Height {
			if err := page.Next(again.Row(y)); err != nil {
				t.Fatal(err)
			}
		}
		sameBits(t, "OpenPage", b, again.At)
	}
}

// TestASheetsMemoryDoesNotGrowWithItsLength measures what two lengths allocate.
func TestASheetsMemoryDoesNotGrowWithItsLength(t *testing.T) {
	allocated := func(rows int) uint64 {
		sheet := Sheet{WidthPX: 5000, HeightPX: rows, Device: Device{XDPI: 720, YDPI: 720}, Name: "nest"}
		y := 0
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := sheet.Write(t.Context(), new(sink), func(row []uint64) error {
			raster.FillBits(row, y%4000, y%4000+500)
			y++
			return nil
		}, nil); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	if short, long := allocated(3000), allocated(30000); long > short+64<<10 {
		t.Errorf("%d bytes for 3000 rows, %d for 30000 (tolerance 64 KiB)", short, long)
	}
}

func TestASheetStopsWhereItsRowsOrItsJobDo(t *testing.T) {
	sheet := Sheet{WidthPX: 100, HeightPX: 1000, Device: Device{XDPI: 720, YDPI: 720}}
	torn := errors.New("torn")
	if _, err := sheet.Write(t.Context(), new(sink), func([]uint64) error { return torn }, nil); !errors.Is(err, torn) {
		t.Errorf("%v, want that of the rows", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := sheet.Write(ctx, new(sink), func([]uint64) error { return nil }, nil)
	if fault.Of(err).Kind != fault.Canceled {
		t.Errorf("%v, want a cancelled fault", err)
	}
	sheet.WidthPX = 0
	if _, err := sheet.Write(t.Context(), new(sink), nil, nil); fault.Of(err).Kind != fault.Invalid {
		t.Errorf("%v, want an Invalid fault", err)
	}
}
