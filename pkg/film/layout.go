package film

import (
	"math"
	"sync"

	"tamis/pkg/fault"
	"tamis/pkg/halftone"
)

// Device is what the film comes out of.
type Device struct {
	XDPI, YDPI     float64 // device pixels per inch, across and along the film
	WidthMM        float64 // the widest film it takes
	MaxLengthMM    float64 // the longest; 0: a roll without end
	ScaleX, ScaleY float64 // what the image must be stretched by so that the film comes out true; 0: 1
}

// Reading says how the film reads when its ink side lies up.
type Reading string

// RightInkUp reads right with the ink up, the usual order; WrongInkUp is its mirror.
const (
	RightInkUp Reading = "right_ink_up"
	WrongInkUp Reading = "wrong_ink_up"
)

// Spec is what a job asks of its films.
type Spec struct {
	PrintWidthMM, PrintHeightMM float64 // the print, upright
	MarginMM                    float64 // around it, 0 and up; marks that do not fit it are left out
	Device                      Device
	Negative                    bool    // black where no ink prints
	Reading                     Reading // empty is RightInkUp
	Plates                      int     // films in the job, for "2 of 5"
	Split                       bool    // a print that no film of the device holds may go over several
	OverlapMM                   float64 // what neighbours then share; 0: they meet edge to edge
}

// Layout is the page that every film of a job shares. It is never changed once made; safe for concurrent use.
type Layout struct {
	Spec              Spec
	WidthPX, HeightPX int
	WidthMM, HeightMM float64 // true size of the film, scale correction undone
	PrintBoxPX        [4]int  // x0, y0, x1, y1 of the print on the film as written, x1 and y1 past the end
	Rotated           bool    // the print lies on its side, its top at the film's left edge, its left at the foot

	// A print that was split: this page is Part, from 1, of Parts, and shows PartPX of the whole print box, x0, y0, x1, y1
	// on the film as written. Part is 0 on the layout of the whole, which is written in Pages; Parts is 0 of a print that
	// was not split.
	Part, Parts int
	PartPX      [4]int

	box      [4]int     // the same before mirroring: everything is drawn there
	marginMM [2]float64 // left and right, top and bottom: less than asked where the device is narrow
	perMM    [2]float64 // device pixels per true millimetre, x and y
	widthPX  [2]float64 // exact size of the print in device pixels, across and along the film
	printMM  [2]float64 // the print's size as it lies, across and along the film

	divided [2]division // how a split print is divided; no parts: it is not
	parts   []*Layout   // its pages
	whole   *Layout     // of a part: the page the print is painted on
	offset  [2]int      // of a part: where its page lies on that one, may be negative

	// marked places and draws the marks, the first time a film asks: a quote needs the page's size alone.
	marked func() *marked
}

// maxPagePX bounds either side of a page: a row of 32 MiB would hold more than any device prints.
const maxPagePX = 1 << 21

// leastMarginMM is the side margin below which a print is rather turned than crammed in: the least that still takes
// a register mark.
const leastMarginMM = 10

// NewLayout lays out the page. What cannot be is fault.Invalid: a print that fits the device neither way is at
// /print/width_mm, and the message says what would fit.
//
// Where the device is too narrow for the margins, the side margins give way first, down to 10 mm; then the print is
// turned by 90 degrees; then the margins give way altogether; then, where the Spec allows it, the print is split over
// Pages. The print itself is never scaled.
func NewLayout(s Spec) (*Layout, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	l := &Layout{Spec: s}
	l.perMM = [2]float64{s.Device.XDPI * s.Device.ScaleX / 25.4, s.Device.YDPI * s.Device.ScaleY / 25.4}
	if err := l.fit(); err != nil {
		return nil, err
	}
	if err := l.measure(); err != nil {
		return nil, err
	}
	if l.divided[0].parts > 0 {
		l.makeParts()
	}
	return l, nil
}

// check fills the defaults and says everything that cannot be.
func (s *Spec) check() error {
	var faults fault.List
	d := &s.Device
	if d.ScaleX == 0 {
		d.ScaleX = 1
	}
	if d.ScaleY == 0 {
		d.ScaleY = 1
	}
	if s.Reading == "" {
		s.Reading = RightInkUp
	}
	within := func(field, code, what string, v, lo, hi float64) {
		if !(v >= lo && v <= hi) {
			faults.Add(fault.Invalidf(field, code, "%s is %g; it is %g to %g", what, v, lo, hi))
		}
	}
	within("/print/width_mm", "print_size", "the print's width in mm", s.PrintWidthMM, 1, 10000)
	within("/print/height_mm", "print_size", "the print's height in mm", s.PrintHeightMM, 1, 10000)
	within("/film/margin_mm", "film_margin", "the margin in mm", s.MarginMM, 0, 200)
	within("/film/overlap_mm", "film_overlap", "the overlap in mm", s.OverlapMM, 0, 100)
	within("/film/device/x_dpi", "device_dpi", "x_dpi", d.XDPI, 72, 10160)
	within("/film/device/y_dpi", "device_dpi", "y_dpi", d.YDPI, 72, 10160)
	within("/film/device/width_mm", "device_width", "the device's width in mm", d.WidthMM, 10, 10000)
	within("/film/device/max_length_mm", "device_length", "the device's greatest length in mm", d.MaxLengthMM, 0, 100000)
	within("/film/device/scale_x", "device_scale", "scale_x", d.ScaleX, 0.9, 1.1)
	within("/film/device/scale_y", "device_scale", "scale_y", d.ScaleY, 0.9, 1.1)
	within("/separation/max_screens", "film_plates", "the number of plates", float64(s.Plates), 1, 64)
	if s.Reading != RightInkUp && s.Reading != WrongInkUp {
		faults.Add(fault.Invalidf("/film/reading", "film_reading", "reading %q is not %s or %s", s.Reading, RightInkUp,
			WrongInkUp))
	}
	return faults.Err()
}

// fit decides how the print lies and how wide its margins are.
func (l *Layout) fit() error {
	s := l.Spec
	for _, try := range []struct {
		turned bool
		least  float64
	}{{false, min(s.MarginMM, leastMarginMM)}, {true, min(s.MarginMM, leastMarginMM)}, {false, 0}, {true, 0}} {
		wide, high := s.PrintWidthMM, s.PrintHeightMM
		if try.turned {
			wide, high = high, wide
		}
		across := min(s.MarginMM, (s.Device.WidthMM/s.Device.ScaleX-wide)/2)
		along := s.MarginMM
		if s.Device.MaxLengthMM > 0 {
			along = min(along, (s.Device.MaxLengthMM/s.Device.ScaleY-high)/2)
		}
		if across >= try.least && along >= try.least {
			l.lie(try.turned)
			l.marginMM = [2]float64{across, along}
			return nil
		}
	}
	switch {
	case !s.Split:
		return l.tooLarge()
	case !l.split():
		return l.tooManyFilms()
	}
	return nil
}

// tooLarge says what print would fit.
func (l *Layout) tooLarge() error {
	d := l.Spec.Device
	w := l.Spec.PrintWidthMM
	fits := d.WidthMM / d.ScaleX
	if d.MaxLengthMM > 0 { // the larger of the two ways it may lie, its proportions kept
		length, ratio := d.MaxLengthMM/d.ScaleY, l.Spec.PrintHeightMM/w
		fits = max(min(fits, length/ratio), min(fits/ratio, length))
	} else {
		fits = max(fits, fits*w/l.Spec.PrintHeightMM)
	}
	return fault.Invalidf("/print/width_mm", "print_too_wide",
		"a print of %g x %g mm does not fit the device's %g mm, upright or turned; up to %g mm wide it would, "+
			"or film.split lets it go over several films",
		w, l.Spec.PrintHeightMM, d.WidthMM, math.Floor(fits*10)/10)
}

// measure turns millimetres into device pixels.
func (l *Layout) measure() error {
	d := l.Spec.Device
	l.widthPX = [2]float64{l.printMM[0] * l.perMM[0], l.printMM[1] * l.perMM[1]}
	if max(l.widthPX[0], l.widthPX[1]) > maxPagePX/2 {
		return fault.Invalidf("/print/width_mm", "film_too_large",
			"the print is %.0f x %.0f device pixels; each way %d is the most", l.widthPX[0], l.widthPX[1], maxPagePX/2)
	}
	var size [2]int
	most := [2]float64{d.WidthMM * d.XDPI / 25.4, d.MaxLengthMM * d.YDPI / 25.4}
	for axis := range 2 {
		start := int(math.Round(l.marginMM[axis] * l.perMM[axis]))
		print := max(1, int(math.Round(l.widthPX[axis])))
		if start > 0 && most[axis] > 0 && l.divided[axis].parts == 0 && float64(print+2*start) > most[axis] {
			start-- // rounding must not push the page past the device's edge
		}
		l.box[axis], l.box[axis+2] = start, start+print
		size[axis] = print + 2*start
	}
	l.setSize(size)
	return nil
}

// setSize completes a page whose print box stands.
func (l *Layout) setSize(size [2]int) {
	l.WidthPX, l.HeightPX = size[0], size[1]
	l.WidthMM, l.HeightMM = float64(size[0])/l.perMM[0], float64(size[1])/l.perMM[1]
	l.PrintBoxPX = l.box // the margins are even, so mirroring moves nothing
	l.marked = sync.OnceValue(l.mark)
}

// Mirrored tells whether the film is written mirrored.
func (l *Layout) Mirrored() bool { return l.Spec.Reading == WrongInkUp }

// ScreenSpec completes a screen for this page: the device's resolution, and the angle turned with the print, so that
// on the print it stands as asked.
func (l *Layout) ScreenSpec(s halftone.Spec) halftone.Spec {
	s.XDPI, s.YDPI = l.Spec.Device.XDPI*l.Spec.Device.ScaleX, l.Spec.Device.YDPI*l.Spec.Device.ScaleY
	if l.Rotated {
		s.AngleDeg += 90
	}
	return s
}
