package inflate

import (
	"bytes"
	"compress/zlib"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	fast "github.com/klauspost/compress/zlib"
)

// photograph is like the filtered rows of a photograph, with noise on waves; flat like those of flat art.
func photograph(n int) []byte {
	r, out, last := rand.New(rand.NewPCG(7, 1)), make([]byte, n), [3]float64{}
	for i := range out {
		v := 90*math.Sin(float64(i)/5000) + r.NormFloat64()*1.6
		out[i] = byte(math.Round(v - last[i%3]))
		last[i%3] = v
	}
	return out
}

func flat(n int) []byte {
	r, out := rand.New(rand.NewPCG(7, 2)), make([]byte, n)
	for i := 0; i < n; {
		color := [3]byte{byte(r.Uint32()), byte(r.Uint32()), byte(r.Uint32())}
		for j := min(n, i+3*(1+r.IntN(600))); i < j; i++ {
			out[i] = color[i%3]
		}
		if i > 10800 {
			i += copy(out[i:], out[i-10800:min(n, i-10800+r.IntN(9000))])
		}
	}
	return out
}

func BenchmarkInflate(b *testing.B) {
	for _, of := range []struct {
		name string
		pix  []byte
	}{{"photograph", photograph(12 << 20)}, {"flat", flat(12 << 20)}} {
		var packed bytes.Buffer
		z, _ := zlib.NewWriterLevel(&packed, 6)
		_, _ = z.Write(of.pix)
		_ = z.Close()
		var parts [][]byte
		for p := packed.Bytes(); len(p) > 0; p = p[len(parts[len(parts)-1]):] {
			parts = append(parts, p[:min(len(p), 32<<10)])
		}
		b.Run(of.name+"/ours", func(b *testing.B) {
			band := NewBand(256 << 10)
			b.SetBytes(int64(len(of.pix)))
			for b.Loop() {
				d, err := New(parts), error(nil)
				for err == nil {
					err = d.Next(band)
				}
				if err != io.EOF {
					b.Fatal(err)
				}
			}
		})
		read := func(b *testing.B, open func(io.Reader) (io.ReadCloser, error)) {
			band := make([]byte, 256<<10)
			b.SetBytes(int64(len(of.pix)))
			for b.Loop() {
				z, err := open(bytes.NewReader(packed.Bytes()))
				if err != nil {
					b.Fatal(err)
				}
				for err == nil {
					_, err = io.ReadFull(z, band)
				}
			}
		}
		b.Run(of.name+"/klauspost", func(b *testing.B) { read(b, fast.NewReader) })
		b.Run(of.name+"/standard", func(b *testing.B) { read(b, zlib.NewReader) })
	}
}
