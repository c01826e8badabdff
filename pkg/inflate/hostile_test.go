package inflate

import (
	"bytes"
	"compress/flate"
	"compress/zlib"
	"encoding/binary"
	"hash/adler32"
	"io"
	"math/rand/v2"
	"testing"
)

// judge holds the decoder against compress/zlib; both are used again and again.
type judge struct {
	raw  io.ReadCloser
	z    io.ReadCloser
	ours *Decoder
	band *Band
	out  bytes.Buffer
}

func newJudge() *judge {
	j := &judge{raw: flate.NewReader(bytes.NewReader(nil)), ours: New(nil), band: NewBand(1000)}
	j.z, _ = zlib.NewReader(bytes.NewReader([]byte{0x78, 0x9c, 3, 0, 0, 0, 0, 1}))
	return j
}

// mended gives the blocks of a stream, which begin after two bytes, the check sum they ought to have, if they are right.
func (j *judge) mended(t testing.TB, packed []byte) []byte {
	t.Helper()
	if len(packed) < 2 {
		return packed
	}
	r := bytes.NewReader(packed[2:])
	if err := j.raw.(flate.Resetter).Reset(r, nil); err != nil {
		t.Fatal(err)
	}
	j.out.Reset()
	if _, err := j.out.ReadFrom(io.LimitReader(j.raw, mostOut)); err != nil {
		return packed
	}
	packed = packed[:len(packed)-r.Len()]
	return binary.BigEndian.AppendUint32(packed[:len(packed):len(packed)], adler32.Checksum(j.out.Bytes()))
}

// mostOut ends what swells.
const mostOut = 1 << 20

// compare tells whether the stream is taken.
func (j *judge) compare(t testing.TB, parts ...[]byte) bool {
	t.Helper()
	packed := bytes.Join(parts, nil)
	j.out.Reset()
	err := j.z.(zlib.Resetter).Reset(bytes.NewReader(packed), nil)
	if err == nil {
		_, err = j.out.ReadFrom(io.LimitReader(j.z, mostOut))
	}
	d, left := j.ours, j.out.Bytes()
	if len(left) == mostOut {
		return false
	}
	*d = Decoder{input: input{buf: d.buf, parts: parts}, dynamic: d.dynamic, fixed: d.fixed, tail: d.tail[:0], sum: 1}
	for d.Next(j.band) == nil {
		got := j.band.Bytes
		if len(got) > len(left) && d.last { // what is read past a cut is not the stream's
			got = got[:len(left)]
		}
		if !bytes.HasPrefix(left, got) {
			t.Fatalf("other bytes for %x", packed)
		}
		left = left[len(got):]
	}
	if (err == nil) != (d.err == io.EOF) || err == nil && len(left) > 0 {
		t.Fatalf("%v, and compress/zlib says %v, for %x", d.err, err, packed)
	}
	return err == nil
}

// mutated flips, cuts, inserts, doubles or overwrites.
func mutated(r *rand.Rand, p []byte) []byte {
	p = bytes.Clone(p)
	for range 1 + r.IntN(3) {
		if len(p) < 3 {
			return p
		}
		at := 2 + r.IntN(len(p)-2)
		if r.IntN(2) == 0 {
			at = min(at, 2+r.IntN(80)) // the code lengths stand in front
		}
		switch r.IntN(6) {
		case 0, 1, 2:
			p[at] ^= 1 << r.IntN(8)
		case 3:
			p = append(p[:at], p[min(len(p), at+1+r.IntN(4)):]...)
		case 4:
			p = append(p[:at], append([]byte{byte(r.Uint32()), byte(r.Uint32())}[:1+r.IntN(2)], p[at:]...)...)
		default:
			p[at] = byte(r.Uint32())
		}
	}
	return p
}

func TestDamagedStreamsAreTakenAsCompressZlibTakesThem(t *testing.T) {
	const mutations = 200_000
	r, j := rand.New(rand.NewPCG(2, 1)), newJudge()
	var packed [][]byte
	for i, p := range packers(t) {
		for k := range 12 {
			packed = append(packed, p.pack(t, sample(r, kinds[(i+k)%len(kinds)], r.IntN(700)), 0))
		}
	}
	taken := 0
	for i := range mutations {
		p := mutated(r, packed[i%len(packed)])
		if i%8 > 0 {
			p = j.mended(t, p)
		}
		cut := r.IntN(len(p) + 1)
		if j.compare(t, p[:cut], p[cut:]) {
			taken++
		}
	}
	if t.Logf("%d of %d were taken", taken, mutations); taken < mutations/50 {
		t.Error("hardly any were taken")
	}
}

func TestDamagedStreamsInLongPartsAreTakenAsCompressZlibTakesThem(t *testing.T) {
	r, j, all := rand.New(rand.NewPCG(2, 4)), newJudge(), packers(t)
	j.band = NewBand(20_000)
	taken := 0
	for i := range 200 {
		packed := all[i%len(all)].pack(t, sample(r, kinds[i%len(kinds)], 3000+r.IntN(60_000)), 0)
		for range 10 {
			p := bytes.Clone(packed)
			p[2+r.IntN(len(p)-2)] ^= 1 << r.IntN(8)
			if p = p[:len(p)-r.IntN(2)*r.IntN(len(p)/2)]; r.IntN(4) > 0 {
				p = j.mended(t, p)
			}
			if j.compare(t, split(r, p)...) {
				taken++
			}
		}
	}
	if t.Logf("%d were taken", taken); taken < 200 {
		t.Error("hardly any were taken")
	}
}

// bitWriter writes the lowest bit first.
type bitWriter struct {
	out  []byte
	bits uint64
	n    uint
}

func (w *bitWriter) put(v uint64, n uint) {
	w.bits |= v << w.n
	for w.n += n; w.n >= 8; w.n -= 8 {
		w.out = append(w.out, byte(w.bits))
		w.bits >>= 8
	}
}

// withLengths is a stream of one block whose codes have given lengths, and any bits after them.
func withLengths(r *rand.Rand, symbols, distances []uint8) []byte {
	w := bitWriter{out: []byte{0x78, 0x9c}}
	w.put(5, 3)
	w.put(uint64(len(symbols)-257), 5)
	w.put(uint64(len(distances)-1), 5)
	w.put(15, 4)
	for i := range 19 {
		w.put(uint64(min(1, i/3)*4), 3) // lengths 0..15 have codes of four bits; runs, the first three, have none
	}
	for _, n := range append(append([]uint8{}, symbols...), distances...) {
		w.put(uint64(reversed(int(n), 4)), 4)
	}
	for range 40 {
		w.put(r.Uint64()&r.Uint64()>>r.IntN(64)&0xffff_ffff, 32)
	}
	return w.out
}

// complete gives the lengths of a complete code of n symbols or fewer, in any order; the others have no code.
func complete(r *rand.Rand, n int) []uint8 {
	lengths := []uint8{1, 1}
	for used := 2 + r.IntN(n-1); len(lengths) < used; {
		i := r.IntN(len(lengths))
		if r.IntN(3) == 0 {
			i = len(lengths) - 1 // long codes
		}
		if lengths[i] < maxBits {
			lengths[i]++
			lengths = append(lengths, lengths[i])
		}
	}
	lengths = append(lengths, make([]uint8, n-len(lengths))...)
	r.Shuffle(n, func(i, k int) { lengths[i], lengths[k] = lengths[k], lengths[i] })
	return lengths
}

func TestCodesOfAnyLengthsAreTakenAsCompressZlibTakesThem(t *testing.T) {
	r, j := rand.New(rand.NewPCG(2, 2)), newJudge()
	taken := 0
	for range 20_000 {
		symbols, distances := complete(r, 257+r.IntN(32)), complete(r, 2+r.IntN(31))
		switch r.IntN(8) {
		case 0:
			clear(distances) // none
		case 1:
			clear(distances)
			distances[r.IntN(len(distances))] = uint8(1 + r.IntN(20)/19) // one, which must be of one bit
		case 2:
			distances[r.IntN(len(distances))] = uint8(r.IntN(16))
		case 3:
			symbols[r.IntN(len(symbols))] = uint8(r.IntN(16))
		case 4:
			clear(symbols)
			symbols[254+r.IntN(len(symbols)-254)] = 1
		}
		if j.compare(t, j.mended(t, withLengths(r, symbols, distances))) {
			taken++
		}
	}
	if t.Logf("%d were taken", taken); taken < 500 {
		t.Error("hardly any were taken")
	}
}

func FuzzDecoder(f *testing.F) {
	r := rand.New(rand.NewPCG(2, 3))
	for i, p := range packers(f) {
		packed := p.pack(f, sample(r, kinds[i%len(kinds)], 200), i%2*50)
		if len(packed) == 0 {
			f.Fatal("an empty seed")
		}
		f.Add(packed, uint16(i*7))
	}
	f.Add(withLengths(r, complete(r, 286), complete(r, 30)), uint16(3))
	f.Fuzz(func(t *testing.T, packed []byte, cut uint16) {
		j := newJudge()
		for _, p := range [][]byte{packed, j.mended(t, packed)} {
			at := min(len(p), int(cut))
			j.compare(t, p[:at], p[at:])
		}
	})
}
