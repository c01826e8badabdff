package artwork

import (
	"context"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"tamis/pkg/fault"
)

func TestAnOpenedPictureIsTheDecodedOneOnceWhole(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 1))
	for n := range 120 {
		width, height, form := 1+r.IntN(90), 1+r.IntN(40), [3]pngForm{pngGrey, pngRGB, pngRGBA}[n%3]
		if n%40 < 3 {
			width, height = 400, 500 // several bands
		}
		data := filteredPNG(t, r, width, height, form)
		want, err := Decode(t.Context(), data, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := Open(t.Context(), data, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		half := height / 2
		if !got.Await(half) || !slices.Equal(got.Pix[:4*width*half], want.Pix[:4*width*half]) {
			t.Fatalf("%d x %d, %d bytes a pixel: the rows awaited differ", width, height, form)
		}
		if err := got.Whole(); err != nil || !got.Await(height) || got.Await(height+1) != (got.arrival == nil) {
			t.Fatalf("%d x %d, %d bytes a pixel: %v", width, height, form, err)
		}
		got.arrival = nil
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%d x %d, %d bytes a pixel: the pictures differ", width, height, form)
		}
	}
}

// TestWhatDoesNotArriveIsSaid cuts and damages the pixels of a picture: whoever waits for them gets to hear of it.
func TestWhatDoesNotArriveIsSaid(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 1))
	const width, height = 400, 700
	packed := filteredPNG(t, r, width, height, pngRGB)
	var damaged []byte
	damaged = append(damaged, packed[:8]...)
	damaged = append(damaged, chunk("IHDR", packed[16:29])...)
	body := slices.Concat(idats(packed)...)
	for i := len(body) / 2; i < len(body)/2+40; i++ {
		body[i] ^= 0x5a
	}
	damaged = append(append(damaged, chunk("IDAT", body)...), chunk("IEND", nil)...)
	img, err := Open(t.Context(), damaged, Limits{})
	if err != nil || img.arrival == nil {
		t.Fatalf("not opened: %v", err)
	}
	if img.Await(height) {
		t.Error("all rows of a damaged file came")
	}
	if err := img.Whole(); !fault.Is(err, fault.Invalid) {
		t.Errorf("whole: %v", err)
	}
	if _, err := Inspect(t.Context(), img); !fault.Is(err, fault.Invalid) {
		t.Errorf("inspected: %v", err)
	}
}

func TestADroppedPictureStopsArriving(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 1))
	data := filteredPNG(t, r, 500, 700, pngRGB)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	img, err := Open(ctx, data, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if err := img.Whole(); !fault.Is(err, fault.Canceled) || img.Await(900) {
		t.Errorf("whole: %v", err)
	}
}

// idats are the bodies of a file's IDAT chunks.
func idats(data []byte) (bodies [][]byte) {
	for at := 8; at+12 <= len(data); {
		size := int(data[at])<<24 | int(data[at+1])<<16 | int(data[at+2])<<8 | int(data[at+3])
		if string(data[at+4:at+8]) == "IDAT" {
			bodies = append(bodies, data[at+8:at+8+size])
		}
		at += 12 + size
	}
	return bodies
}
