package film

import (
	"io"
	"math"
	"testing"

	"tamis/pkg/halftone"
	"tamis/pkg/raster"
)

// sink is a file that is thrown away.
type sink struct{ at, size int64 }

func (s *sink) Write(p []byte) (int, error) {
	s.at += int64(len(p))
	s.size = max(s.size, s.at)
	return len(p), nil
}

func (s *sink) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekStart:
		s.at = offset
	case io.SeekCurrent:
		s.at += offset
	case io.SeekEnd:
		s.at = s.size + offset
	}
	return s.at, nil
}

// smooth is a picture of slow waves and a little noise.
func smooth(width, height int) *raster.Plane {
	p := raster.NewPlane(width, height)
	seed := uint32(1)
	for y := range height {
		for x := range width {
			v := 0.5 + 0.25*math.Sin(float64(x)/170+float64(y)/230) + 0.2*math.Sin(float64(x)/90-float64(y)/310)
			seed = seed*1664525 + 1013904223
			p.Pix[y*width+x] = uint8(min(max(v*255+float64(seed>>28)-8, 0), 255))
		}
	}
	return p
}

// sparse is a picture with two thirds of it bare, as a colour's plate often is.
func sparse(p *raster.Plane) *raster.Plane {
	q := raster.NewPlane(p.Width, p.Height)
	for i, v := range p.Pix {
		q.Pix[i] = uint8(max(0, 3*(int(v)-170)))
	}
	return q
}

// BenchmarkFilm12x16 makes the film of a 12 x 16 inch print at 1440 dpi, marks and all, 55 lpi at 22.5 degrees.
func BenchmarkFilm12x16(b *testing.B) {
	l, err := NewLayout(Spec{PrintWidthMM: 304.8, PrintHeightMM: 406.4, MarginMM: 0, Plates: 1,
		Device: Device{XDPI: 1440, YDPI: 1440, WidthMM: 610}})
	if err != nil {
		b.Fatal(err)
	}
	screen, err := halftone.New(l.ScreenSpec(halftone.Spec{Kind: halftone.AM, FreqLPI: 55, AngleDeg: 22.5}))
	if err != nil {
		b.Fatal(err)
	}
	plane := smooth(3600, 4800)
	for _, c := range []struct {
		name  string
		plate Plate
	}{
		{"halftone", Plate{N: 1, Of: 1, InkName: "Bench", Plane: plane, Screen: screen}},
		{"sparse", Plate{N: 1, Of: 1, InkName: "Bench", Plane: sparse(plane), Screen: screen}},
		{"line", Plate{N: 1, Of: 1, InkName: "Bench", Plane: plane}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			var f Film
			for b.Loop() {
				if f, err = l.Write(b.Context(), c.plate, new(sink), nil); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(l.WidthPX)/float64(l.HeightPX), "ns/px")
			b.ReportMetric(float64(f.Bytes), "bytes")
		})
	}
}

// BenchmarkGroup4 codes rows of a halftone, all their changes found anew.
func BenchmarkGroup4(b *testing.B) {
	l, err := NewLayout(Spec{PrintWidthMM: 304.8, PrintHeightMM: 2, Plates: 1,
		Device: Device{XDPI: 1440, YDPI: 1440, WidthMM: 610}})
	if err != nil {
		b.Fatal(err)
	}
	screen, err := halftone.New(l.ScreenSpec(halftone.Spec{Kind: halftone.AM, FreqLPI: 55, AngleDeg: 22.5}))
	if err != nil {
		b.Fatal(err)
	}
	bits := rendered(l, Plate{N: 1, Of: 1, InkName: "Bench", Plane: smooth(3600, 24), Screen: screen})
	e, out := newEncoder(bits.Width, newCodes()), new(bitBuffer)
	b.ReportAllocs()
	for b.Loop() {
		out.reset()
		e.start(nil, out)
		for y := range bits.Height {
			e.row(bits.Row(y))
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(bits.Width*bits.Height), "ns/px")
}
