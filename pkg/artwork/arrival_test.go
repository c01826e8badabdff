package artwork

import (
	"context"
	"math/rand/v2"
	"reflect"
	"runtime"
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
		if !got.Await(t.Context(), half) || !slices.Equal(got.Pix[:4*width*half], want.Pix[:4*width*half]) {
			t.Fatalf("%d x %d, %d bytes a pixel: the rows awaited differ", width, height, form)
		}
		if err := got.Whole(); err != nil || !got.Await(t.Context(), height) ||
			got.Await(t.Context(), height+1) != (got.arrival == nil) {
			t.Fatalf("%d x %d, %d bytes a pixel: %v", width, height, form, err)
		}
		got.arrival = nil
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%d x %d, %d bytes a pixel: the pictures differ", width, height, form)
		}
	}
}

// TestAnInspectionDoesNotDependOnWhenRowsCome lets the rows of a picture come one by one, while every core waits for its
// own.
func TestAnInspectionDoesNotDependOnWhenRowsCome(t *testing.T) {
	const width, height = 40, 24
	whole := &Image{Width: width, Height: height, Pix: make([]uint8, 4*width*height)}
	for i := range whole.Pix {
		whole.Pix[i] = [4]uint8{200, 30, 40, 255}[i%4]
	}
	want, err := Inspect(t.Context(), whole)
	if err != nil {
		t.Fatal(err)
	}
	for range 50 {
		img := &Image{Width: width, Height: height, Pix: make([]uint8, len(whole.Pix))}
		img.arrival = arriving(t.Context(), func(_ context.Context, came func(rows int)) error {
			for y := range height {
				copy(img.Pix[4*width*y:4*width*(y+1)], whole.Pix[4*width*y:])
				came(y + 1)
				runtime.Gosched()
			}
			return nil
		})
		got, err := Inspect(t.Context(), img)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("still %g of a picture of one colour", got.Digest.Still)
		}
	}
}

func TestADroppedPictureIsNotDecodedOn(t *testing.T) {
	stopped := make(chan struct{})
	img := &Image{Width: 1, Height: 2, Pix: make([]uint8, 8)}
	img.arrival = arriving(t.Context(), func(ctx context.Context, came func(rows int)) error {
		came(1)
		<-ctx.Done()
		close(stopped)
		return ctx.Err()
	})
	short, cancel := context.WithCancel(t.Context())
	cancel()
	if !img.Await(t.Context(), 1) || img.Await(short, 2) {
		t.Error("the first row did not come, or the second did")
	}
	img.Drop()
	<-stopped
	if img.Await(t.Context(), 2) || img.Whole() == nil {
		t.Error("a dropped picture is whole")
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
	if img.Await(t.Context(), height) {
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
	if err := img.Whole(); !fault.Is(err, fault.Canceled) || img.Await(t.Context(), 900) {
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
