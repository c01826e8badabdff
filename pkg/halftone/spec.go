// Package halftone turns tones into bits: amplitude-modulated screens of a true ruling and angle, their dots of one shape
// or passing through several, frequency-modulated ones of dots or clusters the mesh can hold, and hybrids of the two.
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
	FreqLPI  float64 // ruling asked for, lines per inch, 5..300, a line of 4 to maxLinePX device pixels; unused by FM
	AngleDeg float64 // counter-clockwise from the film's horizontal, as seen on a film that is not mirrored; unused by FM
	Dot      Dot     // empty is DotRound; unused by FM
	Mix      Mix     // what DotMix is mixed from; empty with any other dot
	DotUM    float64 // smallest dot, micrometres: the FM dot's side, the diameter of the hybrid's least dot; unused by AM

	// ClusterUM makes FM scatter round clusters of this diameter, micrometres, in place of single dots, and worms of that
	// width at mid-tone: a coarse mesh holds them. 0 scatters dots of DotUM; otherwise DotUM is not looked at.
	ClusterUM float64

	XDPI float64 // device pixels per inch across, 72..10160
	YDPI float64 // and along the film

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
	faults.Add(s.checkDotSize())
	faults.Add(s.checkLimits())
	return faults.Err()
}

// maxLinePX is the widest line, in device pixels: 15 lpi at 5080 dpi. A supercell holds too few dots of wider ones to
// keep ruling and angle.
const maxLinePX = 340

// checkGrid checks what a grid of dots needs: dot, ruling and angle.
func (s *Spec) checkGrid() error {
	var faults fault.List
	faults.Add(s.checkDot())
	finest, coarsest := min(s.XDPI, s.YDPI)/4, max(s.XDPI, s.YDPI)/maxLinePX
	if !(s.FreqLPI >= 5 && s.FreqLPI <= 300) {
		faults.Add(fault.Invalidf("/halftone/lpi", "lpi_range", "%g lpi: a ruling is 5 to 300 lpi", s.FreqLPI))
	} else if s.FreqLPI > finest {
		faults.Add(fault.Invalidf("/halftone/lpi", "lpi_too_fine",
			"%g lpi needs 4 device pixels a line; %g x %g dpi allow %g lpi", s.FreqLPI, s.XDPI, s.YDPI, finest))
	} else if s.FreqLPI < coarsest {
		faults.Add(fault.Invalidf("/halftone/lpi", "lpi_too_coarse",
			"%g lpi makes lines of more than %d device pixels; %g x %g dpi allow %.1f lpi and more", s.FreqLPI, maxLinePX,
			s.XDPI, s.YDPI, coarsest))
	}
	if !(s.AngleDeg >= -360 && s.AngleDeg <= 360) {
		faults.Add(fault.Invalidf("/halftone/angle_deg", "angle_range", "an angle of %g degrees: it is -360 to 360",
			s.AngleDeg))
	}
	return faults.Err()
}

// checkDot wants a dot that is known, and a mix where it is mixed.
func (s *Spec) checkDot() error {
	if s.Dot == DotMix {
		_, err := s.Mix.Parts()
		return err
	}
	if s.Mix != "" {
		return fault.Invalidf("/halftone/mix", "mix_unused", "a mix stands beside the dot %q; it goes with %q", s.Dot, DotMix)
	}
	if _, known := s.Dot.Spot(0, 0); !known && s.Dot != DotRoundSquare {
		return fault.Invalidf("/halftone/dot", "dot_unknown", "dot %q is none of %s, %s", s.Dot, dotNames(), DotMix)
	}
	return nil
}

// checkDotSize checks the size of what FM scatters and of the hybrid's least dot.
func (s *Spec) checkDotSize() error {
	switch {
	case s.ClusterUM != 0 && s.Kind != FM:
		return fault.Invalidf("/halftone/cluster_um", "cluster_unused", "clusters are of fm screens, not of %s", s.Kind)
	case s.ClusterUM != 0 && !(s.ClusterUM >= 20 && s.ClusterUM <= 2000):
		return fault.Invalidf("/halftone/cluster_um", "cluster_size", "clusters of %g um: they are 20 to 2000", s.ClusterUM)
	case s.ClusterUM != 0 && s.ClusterUM*min(s.XDPI, s.YDPI) < 2*25400:
		return fault.Invalidf("/halftone/cluster_um", "cluster_too_fine",
			"clusters of %g um are under two device pixels at %g x %g dpi", s.ClusterUM, s.XDPI, s.YDPI)
	case s.ClusterUM == 0 && s.Kind != AM && !(s.DotUM >= 5 && s.DotUM <= 1000):
		return fault.Invalidf("/halftone/dot_um", "dot_size", "a dot of %g um: it is 5 to 1000", s.DotUM)
	}
	return nil
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
