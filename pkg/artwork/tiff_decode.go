package artwork

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"

	"golang.org/x/image/tiff/lzw"

	"tamis/pkg/pages"
)

// decode reads every strip or tile into 8-bit samples.
func (l *tiffLayout) decode() (*raw, error) {
	r := &raw{width: l.width, height: l.height, channels: l.base, reduced: l.bits == 16}
	r.pix = pages.Make[byte](l.base * l.width * l.height)
	if l.alphaAt > 0 {
		r.alpha = pages.Make[byte](l.width * l.height)
	}
	perBlock := l.samples
	if l.planar {
		perBlock = 1
	}
	buf := make([]byte, l.blockW*l.blockH*perBlock*l.bits/8)
	for i := range l.blocks() {
		if err := l.block(i, perBlock, buf, r); err != nil {
			return nil, err
		}
	}
	l.finish(r)
	return r, nil
}

// block decodes the i-th strip or tile and places its samples.
func (l *tiffLayout) block(i, perBlock int, buf []byte, r *raw) error {
	inPlane := i % (l.across() * l.down())
	x0, y0 := inPlane%l.across()*l.blockW, inPlane/l.across()*l.blockH
	rows := l.blockH
	if !l.tiled {
		rows = min(rows, l.height-y0) // the last strip is short; tiles are padded
	}
	rowBytes := l.blockW * perBlock * l.bits / 8
	src := l.data[l.offsets[i]:][:l.counts[i]]
	if err := l.unpack(buf[:rows*rowBytes], src); err != nil {
		return broken(fmt.Sprintf("strip or tile %d", i), err)
	}
	first := i / (l.across() * l.down()) // the sample a planar block holds
	for row := range min(rows, l.height-y0) {
		line := buf[row*rowBytes : (row+1)*rowBytes]
		l.undoPredictor(line, perBlock)
		l.place(r, line, x0, y0+row, first, perBlock)
	}
	return nil
}

// unpack fills dst exactly or says that the data ended.
func (l *tiffLayout) unpack(dst, src []byte) error {
	var from io.Reader
	switch l.compression {
	case 1:
		from = bytes.NewReader(src)
	case 5:
		z := lzw.NewReader(bytes.NewReader(src), lzw.MSB, 8)
		defer z.Close()
		from = z
	case 32773:
		return unpackBits(dst, src)
	default:
		z, err := zlib.NewReader(bytes.NewReader(src))
		if err != nil {
			return err
		}
		defer z.Close()
		from = z
	}
	_, err := io.ReadFull(from, dst)
	return err
}

// unpackBits undoes PackBits. Source: TIFF 6.0, section 9.
func unpackBits(dst, src []byte) error {
	for len(dst) > 0 {
		if len(src) < 2 {
			return io.ErrUnexpectedEOF
		}
		n := int(int8(src[0]))
		src = src[1:]
		switch {
		case n >= 0:
			n = min(n+1, len(dst))
			if len(src) < n {
				return io.ErrUnexpectedEOF
			}
			copy(dst, src[:n])
			src, dst = src[n:], dst[n:]
		case n > -128:
			n = min(1-n, len(dst))
			for i := range n {
				dst[i] = src[0]
			}
			src, dst = src[1:], dst[n:]
		}
	}
	return nil
}

// undoPredictor adds up horizontal differences. Source: TIFF 6.0, section 14.
func (l *tiffLayout) undoPredictor(line []byte, perBlock int) {
	if l.predictor != 2 {
		return
	}
	if l.bits == 8 {
		for i := perBlock; i < len(line); i++ {
			line[i] += line[i-perBlock]
		}
		return
	}
	for i := 2 * perBlock; i+1 < len(line); i += 2 {
		sum := l.order.Uint16(line[i:]) + l.order.Uint16(line[i-2*perBlock:])
		l.order.PutUint16(line[i:], sum)
	}
}

// place writes one row of a block: sample s of pixel x becomes colour or alpha, the rest is dropped.
func (l *tiffLayout) place(r *raw, line []byte, x0, y, first, perBlock int) {
	at := y*l.width + x0
	for x := range min(l.blockW, l.width-x0) {
		for k := range perBlock {
			v := l.sample(line, x*perBlock+k)
			switch s := first + k; {
			case s < l.base:
				r.pix[(at+x)*l.base+s] = v
			case s == l.alphaAt:
				r.alpha[at+x] = v
			}
		}
	}
}

func (l *tiffLayout) sample(line []byte, i int) byte {
	if l.bits == 8 {
		return line[i]
	}
	return to8(l.order.Uint16(line[2*i:]))
}

// finish turns WhiteIsZero over and divides by a premultiplied alpha.
func (l *tiffLayout) finish(r *raw) {
	if l.photometric == 0 {
		for i, v := range r.pix {
			r.pix[i] = 255 - v
		}
	}
	if !l.premultiplied || l.photometric == 5 {
		return
	}
	for i, a := range r.alpha {
		if a == 0 || a == 255 {
			continue
		}
		for c := range r.channels {
			v := &r.pix[i*r.channels+c]
			*v = byte(min(255, (int(*v)*255+int(a)/2)/int(a)))
		}
	}
}
