// Package halftone turns tones into bits: amplitude-modulated screens of a true ruling and angle, frequency-modulated
// ones of a dot the mesh can hold, and hybrids of the two.
//
// In goes a specification (ruling, angle, dot, device resolution), out comes a Screen: a periodic table of thresholds
// anchored at the film's origin, into which a tone curve and the smallest dot are folded so that they cost nothing a
// pixel; and the kernel that compares two upsampled rows with it, 64 pixels a word. It refuses to know pages and files.
//
// Sources: ISO 32000-1:2008, 10.5 (cells, spot functions); T. M. Holladay, Proc. SID 21 (1980) (a supercell kept as
// one strip with a shift); R. Ulichney, SPIE 1913 (1993) (void and cluster).
package halftone

import (
	"strings"

	"tamis/pkg/fault"
)

// Kind is the family of a screen.
type Kind string

// The kinds. AM: dots on a grid that grow. FM: dots of one size that grow in number. Hybrid: AM, whose smallest dots
// and holes thin out in number where the mesh could not hold smaller ones.
const (
	AM     Kind = "am"
	FM     Kind = "fm"
	Hybrid Kind = "hybrid"
)

// Limit says what becomes of tones below the smallest dot, or above the smallest hole.
type Limit string

// Drop prints nothing there (or a solid), Hold prints the smallest dot (or hole).
const (
	Drop Limit = "drop"
	Hold Limit = "hold"
)

// Spec is what a caller asks of a screen.
type Spec struct {
	Kind     Kind
	FreqLPI  float64 // ruling asked for, lines per inch, 5..300; unused by FM
	AngleDeg float64 // counter-clockwise from the film's horizontal, as seen on a film that is not mirrored; unused by FM
	Dot      Dot     // empty is DotRound; unused by FM
	DotUM    float64 // smallest dot, micrometres: the FM dot's side, the diameter of the hybrid's least dot; unused by AM
	XDPI     float64 // device pixels per inch across, 72..10160
	YDPI     float64 // and along the film

	MinDot     float64 // least printable tone, 0..0.5; 0: no limit
	MinGap     float64 // least bare share between dots, 0..0.5; 0: no limit
	Highlights Limit   // for tones below MinDot; empty is Drop
	Shadows    Limit   // for tones above 1-MinGap; empty is Drop
}

// check fills the defaults and says everything that cannot be.
func (s *Spec) check() error {
	var faults fault.List
	if s.Dot == "" {
		s.Dot = DotRound
	}
	if s.Kind != AM && s.Kind != FM && s.Kind != Hybrid {
		faults.Add(fault.Invalidf("/halftone/kind", "halftone_kind", "kind %q is not am, fm or hybrid", s.Kind))
	}
	if !(s.XDPI >= 72 && s.XDPI <= 10160 && s.YDPI >= 72 && s.YDPI <= 10160) {
		faults.Add(fault.Invalidf("/film/device", "device_dpi",
			"%g x %g dpi: each way it is 72 to 10160", s.XDPI, s.YDPI))
	}
	if s.Kind != FM {
		faults.Add(s.checkGrid())
	}
	if s.Kind != AM && !(s.DotUM >= 5 && s.DotUM <= 1000) {
		faults.Add(fault.Invalidf("/halftone/dot_um", "dot_size", "a dot of %g um: it is 5 to 1000", s.DotUM))
	}
	faults.Add(s.checkLimits())
	return faults.Err()
}

// checkGrid checks what a grid of dots needs: dot, ruling and angle.
func (s *Spec) checkGrid() error {
	var faults fault.List
	if _, known := s.Dot.Spot(0, 0); !known {
		faults.Add(fault.Invalidf("/halftone/dot", "dot_unknown", "dot %q is none of %s", s.Dot, dotNames()))
	}
	finest := min(s.XDPI, s.YDPI) / 4
	if !(s.FreqLPI >= 5 && s.FreqLPI <= 300) {
		faults.Add(fault.Invalidf("/halftone/lpi", "lpi_range", "%g lpi: a ruling is 5 to 300 lpi", s.FreqLPI))
	} else if s.FreqLPI > finest {
		faults.Add(fault.Invalidf("/halftone/lpi", "lpi_too_fine",
			"%g lpi needs 4 device pixels a line; %g x %g dpi allow %g lpi", s.FreqLPI, s.XDPI, s.YDPI, finest))
	}
	if !(s.AngleDeg >= -360 && s.AngleDeg <= 360) {
		faults.Add(fault.Invalidf("/halftone/angle_deg", "angle_range", "an angle of %g degrees: it is -360 to 360",
			s.AngleDeg))
	}
	return faults.Err()
}

func (s *Spec) checkLimits() error {
	var faults fault.List
	if !(s.MinDot >= 0 && s.MinDot <= 0.5 && s.MinGap >= 0 && s.MinGap <= 0.5) {
		faults.Add(fault.Invalidf("/halftone", "dot_limits",
			"least dot %g and least hole %g are shares of the area, 0 to 0.5", s.MinDot, s.MinGap))
	}
	for _, l := range []struct {
		field string
		limit Limit
	}{{"highlights", s.Highlights}, {"shadows", s.Shadows}} {
		if l.limit != "" && l.limit != Drop && l.limit != Hold {
			faults.Add(fault.Invalidf("/halftone/"+l.field, "dot_limit", "%q is not drop or hold", l.limit))
		}
	}
	return faults.Err()
}

// dotNames lists the dots for a message.
func dotNames() string {
	var names []string
	for _, d := range Dots() {
		names = append(names, string(d))
	}
	return strings.Join(names, ", ")
}
