package separate

import (
	"slices"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
)

// Choose decides a separation from the artwork's digest alone: method, inks, order, coverage, match.
//
// It is deterministic and takes well under a second. Faults name the field of an order (/separation/...): a method we
// do not know, no inks that could do it, too few screens.
func Choose(insp *artwork.Inspection, req Request) (*Recipe, error) {
	req = withDefaults(req)
	if err := req.check(); err != nil {
		return nil, err
	}
	return req.Tables.recipe(insp, req, func() (*Recipe, error) { return choose(insp, req) })
}

func choose(insp *artwork.Inspection, req Request) (*Recipe, error) {
	j := &job{insp: insp, req: req, targets: targetsOf(&insp.Digest, req.Ground)}
	method := req.Method
	if method == Auto {
		method = autoMethod(insp)
	}
	if len(j.targets) == 0 {
		return nil, fault.Invalidf(
			"/artwork_id",
			"artwork_empty",
			"every pixel of the artwork is transparent: nothing to print",
		)
	}
	if method == Spot && req.Method == Auto && insp.Kind != artwork.Flat && fadesToNothing(&insp.Digest) {
		return j.spotOrTones()
	}
	switch method {
	case Spot:
		return j.spot()
	case Index:
		return j.index()
	case Process:
		return j.process()
	}
	return j.simulated()
}

// job is one run of Choose.
type job struct {
	insp    *artwork.Inspection
	req     Request
	targets []target
}

// fadesToNothing tells art some of whose fades end in the bare garment: their edges are soft, there is nothing to cut.
func fadesToNothing(d *artwork.Digest) bool {
	list, ways := flatsAndFades(d)
	return slices.ContainsFunc(ways, func(w way) bool { return max(w[0], w[1]) == len(list) })
}

// A cut of art that fades into the garment may be off by goodCut before tones are looked at, and tones must be better
// by tonesGain: cut edges are worth something. CIEDE2000, ours.
const (
	goodCut   = 3.0
	tonesGain = 1.5
)

// spotOrTones cuts art that is flat but for fades into the garment, unless its colours come out much better in tones.
func (j *job) spotOrTones() (*Recipe, error) {
	cut, err := j.spot()
	if err == nil && cut.MeanE00 <= goodCut {
		return cut, nil
	}
	tones, tonesErr := j.simulated()
	if tonesErr != nil || err == nil && cut.MeanE00-tones.MeanE00 < tonesGain {
		return cut, err
	}
	return tones, nil
}

// autoMethod: flat art keeps its colours, also where they run into one another; everything else needs tones.
func autoMethod(insp *artwork.Inspection) Method {
	if insp.Kind == artwork.Flat || insp.Kind == artwork.Mixed && flatButForFades(&insp.Digest) {
		return Spot
	}
	return SimulatedProcess
}

func withDefaults(req Request) Request {
	if req.Cards == (ink.Cards{}) {
		req.Cards = ink.DefaultCards()
	}
	if req.Underbase == "" {
		req.Underbase = UnderbaseAuto
	}
	if req.IndexDither == "" {
		req.IndexDither = BlueNoise
	}
	if req.IndexDPI == 0 {
		req.IndexDPI = indexDPI
	}
	if req.MaxScreens == 0 {
		req.MaxScreens, req.pick = MaxScreens, true
	}
	req.MaxScreens = min(req.MaxScreens, MaxScreens)
	return req
}

func (req Request) check() error {
	var faults fault.List
	switch req.Method {
	case Auto, Spot, Process, SimulatedProcess, Index:
	default:
		faults.Add(fault.Invalidf("/separation/method", "method_unknown",
			"%.40q is not a method: auto, spot, process, simulated_process or index", req.Method))
	}
	switch req.Underbase {
	case UnderbaseAuto, UnderbaseOn, UnderbaseOff:
	default:
		faults.Add(fault.Invalidf("/separation/underbase", "underbase_unknown",
			"%.40q is not an underbase mode: auto, on or off", req.Underbase))
	}
	switch req.IndexDither {
	case BlueNoise, Diffusion:
	default:
		faults.Add(fault.Invalidf("/separation/index_dither", "index_dither_unknown",
			"%.40q is not a dither: blue_noise or diffusion", req.IndexDither))
	}
	if len(req.Inks) == 0 {
		faults.Add(fault.Invalidf("/separation/inks", "inks_missing", "there is no ink to print with"))
	}
	if req.MaxScreens < 1 {
		faults.Add(fault.Invalidf("/separation/max_screens", "max_screens_range",
			"max_screens is %d; 1 to %d screens can be made", req.MaxScreens, MaxScreens))
	}
	return faults.Err()
}

// groundRGB is the garment as artwork would show it.
func (req Request) groundRGB() color.RGB8 { return req.Ground.RGB8() }

// lightGround is the lightness from which a garment takes no underbase unless asked to: inks show there as they are.
const lightGround = 78

// mayUnderbase tells whether an underbase may be considered.
func (req Request) mayUnderbase() bool {
	return req.Underbase == UnderbaseOn || req.Underbase == UnderbaseAuto && req.Ground.L < lightGround
}
