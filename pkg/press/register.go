package press

import "math"

// Register is how far screens print off one another: by the films, DeviceMM, and on the press, PressMM; 0 where nobody
// measured.
type Register struct{ DeviceMM, PressMM float64 }

// TotalMM is the misregister to expect between two inks: the root of squares, since films and press err apart.
//
// Practice: errors that know nothing of one another add so; two of three prints keep within it.
func (r Register) TotalMM() float64 { return math.Hypot(r.DeviceMM, r.PressMM) }

// mostErrors is how many times the expected misregister a trap or a choke must span. Ours: once covers two of three
// prints, one and a half times most.
const mostErrors = 1.5

// CoverMM is the trap or choke that covers it: as wide as what opens at a butt joint of two inks, or what an underbase
// peeps out from under its colour, in most prints.
func (r Register) CoverMM() float64 { return mostErrors * r.TotalMM() }

// mostTrapMM is the widest trap that is picked. Practice: 0.25 to 0.5 mm; wider ones show as a third colour.
const mostTrapMM = 0.5

// leastChokeMM and mostChokeMM bound the choke that is picked. Practice: 0.2 to 0.5 mm. Ours: 1 mm at most; it
// already holds strokes under 2.5 mm back by half of it or less.
const leastChokeMM, mostChokeMM = 0.3, 1

// ChokeMM is the choke to pick: what covers the register, 0.3 to 1 mm.
func (r Register) ChokeMM() float64 {
	return math.Min(mostChokeMM, math.Max(leastChokeMM, r.CoverMM()))
}

// TrapMM is the trap to pick: what covers the register, up to 0.5 mm.
func (r Register) TrapMM() float64 { return math.Min(mostTrapMM, r.CoverMM()) }
