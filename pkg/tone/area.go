package tone

import (
	"math"
	"strconv"

	"tamis/pkg/fault"
)

// AreaMurrayDavies gives the effective dot area, 0..1, of a printed tint.
//
// Densities are -log10 R, absolute, one filter: paperD of the bare stock, solidD of the full ink, tintD of the patch.
// tintD is clamped to [paperD, solidD], since instruments repeat to about 0.01 D. A solid not above paper is
// fault.Invalid at /patches. Pure; safe for concurrent use.
//
// Source: A. Murray, J. Franklin Inst. 221 (1936). Optical gain is in the result; see AreaYuleNielsen.
func AreaMurrayDavies(paperD, solidD, tintD float64) (area float64, err error) {
	return AreaYuleNielsen(paperD, solidD, tintD, 1)
}

// AreaYuleNielsen gives the physical dot area, 0..1, of a printed tint, the light spread in the stock taken out by n:
// 1 is Murray-Davies, about 1.7 coated paper, 2 the limit of full spread. Densities as in AreaMurrayDavies.
// An n below 1 is fault.Invalid at /n.
//
// Source: J. A. C. Yule and W. J. Nielsen, TAGA (1951): each density difference is divided by n.
func AreaYuleNielsen(paperD, solidD, tintD, n float64) (area float64, err error) {
	if !(solidD > paperD) {
		return 0, fault.Invalidf("/patches", "solid_not_dense",
			"the solid reads %g and the bare stock %g: the solid must be the denser", solidD, paperD)
	}
	if !(n >= 1) {
		return 0, fault.Invalidf("/n", "yule_nielsen_n", "n is %g; it is 1 (no spread of light) or more", n)
	}
	if math.IsNaN(tintD) {
		return 0, fault.Invalidf("/patches", "density_not_a_number", "a density is not a number")
	}
	tintD = min(max(tintD, paperD), solidD)
	return (1 - math.Pow(10, (paperD-tintD)/n)) / (1 - math.Pow(10, (paperD-solidD)/n)), nil
}

// pointField is the JSON pointer of the n-th point.
func pointField(n int) string { return "/points/" + strconv.Itoa(n) }
