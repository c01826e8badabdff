package color

import (
	"bytes"
	"crypto/sha256"
	"fmt"

	"github.com/kovidgoyal/imaging/prism/meta/icc"

	"tamis/pkg/fault"
)

// Output is an ICC output profile of a four-colour process: which coverages of cyan, magenta, yellow and black print a
// colour on the paper it was made for. It is read only: safe for concurrent use.
type Output struct {
	pipe *icc.Pipeline
	lab  bool // the profile connects by CIELAB, else by XYZ
	sum  [32]byte
	name string
}

// ParseOutput reads an output profile. One that is broken, is for another device or has no table from colours to inks
// is fault.Invalid.
//
// Source: ISO 15076-1 (ICC.1); relative colorimetric, as proofs are, with black point compensation: what is darker than
// the press reaches is brought into it.
func ParseOutput(data []byte) (o *Output, err error) {
	defer func() {
		if v := recover(); v != nil { // the parser's own way to give up on a hostile file
			o, err = nil, badOutput("it cannot be read", fmt.Errorf("panic: %v", v))
		}
	}()
	if err := CheckProfile(data); err != nil {
		return nil, badOutput("it is not an ICC profile, or a broken one", err)
	}
	p, err := icc.DecodeProfile(bytes.NewReader(data))
	if err != nil {
		return nil, badOutput("it cannot be read", err)
	}
	if p.Header.DeviceClass != icc.DeviceClassOutput || p.Header.DataColorSpace != icc.ColorSpaceCMYK {
		return nil, badOutput("an output profile (class prtr) of a CMYK process is wanted", nil)
	}
	pipe, err := p.CreateTransformerToDevice(icc.RelativeColorimetricRenderingIntent, true, true)
	if err != nil {
		return nil, badOutput("it has no table from colours to inks", err)
	}
	name, _ := p.Description() // a profile without a name is none the worse
	o = &Output{pipe: pipe, lab: p.Header.ProfileConnectionSpace == icc.ColorSpaceLab, sum: sha256.Sum256(data),
		name: name}
	for i := range 11 * 11 * 11 { // a table that panics does so here
		o.CMYK(Lab{L: float64(i%11) * 10, A: float64(i/11%11)*20 - 100, B: float64(i/121)*20 - 100})
	}
	return o, nil
}

func badOutput(why string, cause error) error {
	return fault.Wrap(cause, fault.Invalid, "profile_unusable", "the profile cannot be used: "+why)
}

// Sum is the SHA-256 of the profile's bytes.
func (o *Output) Sum() [32]byte { return o.sum }

// Name is the profile's own description of itself.
func (o *Output) Name() string { return o.name }

// CMYK gives the coverages, 0..1, that print a colour: cyan, magenta, yellow, black.
func (o *Output) CMYK(c Lab) [4]float64 {
	in := [4]float64{c.L, c.A, c.B}
	if !o.lab {
		x := c.XYZ()
		in = [4]float64{x.X, x.Y, x.Z}
	}
	var out [4]float64
	o.pipe.TransformGeneral(out[:], in[:])
	for i, v := range out {
		if out[i] = min(max(v, 0), 1); v != v {
			out[i] = 0
		}
	}
	return out
}
