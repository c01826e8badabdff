package inflate

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"hash/adler32"
	"io"
	"math/rand/v2"
	"slices"
	"testing"

	fast "github.com/klauspost/compress/zlib"
)

// unpacked is what Next makes of a stream, in bands of a size.
func unpacked(size int, parts ...[]byte) (out []byte, err error) {
	d, b := New(parts), NewBand(size)
	for err == nil {
		err = d.Next(b)
		out = append(out, b.Bytes...)
	}
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return out, err
}

// split cuts at random places; some parts are empty.
func split(r *rand.Rand, p []byte) (parts [][]byte) {
	for len(p) > 0 {
		n := r.IntN(1 + min(len(p), 1<<r.IntN(17)))
		parts, p = append(parts, p[:n]), p[n:]
	}
	return parts
}

var kinds = []string{"zeros", "noise", "letters", "pixels", "photograph", "far", "rare"}

// sample gives bytes of a kind.
func sample(r *rand.Rand, kind string, n int) []byte {
	p := make([]byte, n)
	for i := range p {
		switch kind {
		case "noise":
			p[i] = byte(r.Uint32())
		case "letters":
			p[i] = "etaoin shrdlu"[r.IntN(13)>>r.IntN(3)]
		case "pixels":
			p[i] = byte(i % (2 + i>>8%9) * 30)
		case "photograph":
			p[i] = byte(r.NormFloat64()*4) + byte(i>>9&7)
		case "far":
			p[i] = byte(r.Uint32())
			if back := [3]int{1, 32768, 700}[i>>8%3]; back <= i {
				p[i] = p[i-back]
			}
		case "rare":
			p[i] = byte(1 / (1 + r.IntN(50)))
		}
	}
	return p
}

type packer struct {
	name string
	z    interface {
		io.WriteCloser
		Reset(io.Writer)
		Flush() error
	}
}

// packers are all levels of two writers.
func packers(t testing.TB) (all []packer) {
	t.Helper()
	for level := zlib.HuffmanOnly; level <= zlib.BestCompression; level++ {
		standard, err := zlib.NewWriterLevel(io.Discard, level)
		if err != nil {
			t.Fatal(err)
		}
		klauspost, err := fast.NewWriterLevel(io.Discard, level)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, packer{fmt.Sprint("standard ", level), standard}, packer{fmt.Sprint("fast ", level), klauspost})
	}
	return all
}

// pack flushes between pieces of about a size, 0 for none.
func (p packer) pack(t testing.TB, data []byte, piece int) []byte {
	t.Helper()
	var out bytes.Buffer
	p.z.Reset(&out)
	if piece > 0 {
		for part := range slices.Chunk(data, piece) {
			if _, err := p.z.Write(part); err != nil {
				t.Fatal(err)
			}
			if err := p.z.Flush(); err != nil {
				t.Fatal(err)
			}
		}
	} else if _, err := p.z.Write(data); err != nil {
		t.Fatal(err)
	}
	if err := p.z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestStreamsOfEveryWriterComeOut(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	sizes := []int{1000, 32767, 32768, 32769, 70000, 200000}
	for n := range 301 {
		sizes = append(sizes, n)
	}
	all := packers(t)
	for _, n := range sizes {
		for i, p := range all {
			kind := kinds[(i+n)%len(kinds)]
			want := sample(r, kind, n)
			packed := p.pack(t, want, r.IntN(2)*r.IntN(n+1))
			size := 1 + r.IntN(1<<r.IntN(19))
			if n > 1000 {
				size += 100 // each band begins with its history
			}
			got, err := unpacked(size, split(r, packed)...)
			if err != nil || !bytes.Equal(got, want) {
				t.Fatalf("%d bytes of %s by %s: %v, or other bytes", n, kind, p.name, err)
			}
		}
	}
}

func TestPartsAndBandsDoNotShow(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for i, p := range packers(t) {
		want := sample(r, kinds[i%len(kinds)], 300)
		packed := p.pack(t, want, i%3*100)
		for cut := range len(packed) + 1 {
			got, err := unpacked(1+cut, packed[:cut], packed[cut:])
			if err != nil || !bytes.Equal(got, want) {
				t.Fatalf("%s, cut at %d: %v, or other bytes", p.name, cut, err)
			}
		}
		bytewise := slices.Collect(slices.Chunk(packed, 1))
		for size := 1; size <= 310; size += 1 + i%4 {
			got, err := unpacked(size, bytewise...)
			if err != nil || !bytes.Equal(got, want) {
				t.Fatalf("%s, bands of %d: %v, or other bytes", p.name, size, err)
			}
		}
	}
}

func TestEveryCutStreamIsRefused(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 3))
	for i, p := range packers(t) {
		packed := p.pack(t, sample(r, kinds[i%len(kinds)], 400), 0)
		for n := range packed {
			if _, err := unpacked(1000, packed[:n]); err == nil {
				t.Fatalf("%s: %d of %d bytes are taken", p.name, n, len(packed))
			}
		}
		packed = append(packed, 1, 2, 3)
		if _, err := unpacked(1000, packed); err != nil {
			t.Fatalf("%s: with bytes after its end: %v", p.name, err)
		}
	}
	if _, err := unpacked(10); err == nil {
		t.Fatal("no parts are taken")
	}
}

func TestCheckSumsAreThoseOfTheStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 4))
	high := bytes.Repeat([]byte{255}, 3<<20)
	for n := range 1000 {
		for _, p := range [][]byte{high[:n], sample(r, kinds[n%len(kinds)], n), high[:r.IntN(len(high))/(1+n)]} {
			before := adler32.Checksum(p[:n/7*len(p)/1000])
			if got, want := adler(before, p[n/7*len(p)/1000:]), adler32.Checksum(p); got != want {
				t.Fatalf("%08x after %d bytes, want %08x", got, len(p), want)
			}
		}
	}
	if got, want := adler(1, high), adler32.Checksum(high); got != want {
		t.Fatalf("%08x of high bytes, want %08x", got, want)
	}
}

func TestAnEndAndAnErrorStay(t *testing.T) {
	packed := packers(t)[0].pack(t, []byte("ink"), 0)
	for _, of := range []struct {
		packed []byte
		want   error
	}{{packed, io.EOF}, {packed[:len(packed)-1], errCut}, {[]byte{0x78, 0x9d, 0}, errHeader}} {
		d, b := New([][]byte{of.packed}), NewBand(2)
		for d.Next(b) == nil {
		}
		if err := d.Next(b); !errors.Is(err, of.want) || len(b.Bytes) > 0 {
			t.Errorf("%v with %d bytes, want %v", err, len(b.Bytes), of.want)
		}
	}
}

func TestPartsStayAsTheyAre(t *testing.T) {
	packed := packers(t)[0].pack(t, []byte("a list of parts is the caller's"), 0)
	parts := slices.Collect(slices.Chunk(packed, 7))
	for range 2 {
		if _, err := unpacked(10, parts...); err != nil {
			t.Fatal(err)
		}
	}
}
