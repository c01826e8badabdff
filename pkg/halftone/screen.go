package halftone

import "tamis/pkg/tone"

// Screen is a halftone ready to screen rows: thresholds that repeat over the film from its origin.
// It is never changed once made; safe for concurrent use.
type Screen struct {
	Spec           Spec    // as asked, defaults filled in
	ActualLPI      float64 // the ruling the device pixels give; 0 for FM
	ActualAngleDeg float64 // the angle they give, counted as asked: 181.01 for 181
	DotXUM, DotYUM float64 // the FM dot in whole device pixels, diameters of clusters and of the least dot; 0 for AM
	Levels         int     // distinct tones, bare and solid included

	strip      lattice
	repeat     int      // film rows that share a strip row: the FM dot's height, else 1
	gridX      int      // device pixels across that share a tone: the FM dot's width, else 1
	rank       []uint32 // a strip entry's place in the order of inking, 0 first; entries that share a place ink together
	ranks      int      // number of places
	thresholds []byte   // see fold
}

// New makes the screen of a specification. What cannot be is fault.Invalid at /halftone/... or /film/device.
//
// AM and hybrid: the supercell grows until ruling and angle keep 0.1 % and 0.02 degrees; ActualLPI and ActualAngleDeg
// say what came of it. The thresholds are ranked over the whole supercell, so tones are even and many.
func New(s Spec) (*Screen, error) { return NewWithCurve(s, tone.Curve{}) }

// NewWithCurve makes the screen of a specification with c folded in, as New and WithCurve would, in one.
func NewWithCurve(s Spec, c tone.Curve) (*Screen, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	sc := &Screen{Spec: s, repeat: 1, gridX: 1}
	switch s.Kind {
	case FM:
		if s.ClusterUM != 0 {
			sc.scatterClusters()
		} else {
			sc.scatter()
		}
	case Hybrid:
		sc.hybridise()
	default:
		sc.grid(findSupercell(s, leastCells))
	}
	sc.Levels = sc.levels()
	sc.fold(c)
	return sc, nil
}

// levels counts the tones a screen prints: its places in the order of inking, no more than there are tones to ask for.
func (s *Screen) levels() int {
	used, n := make([]uint64, (s.ranks+63)/64), 0
	for _, r := range s.rank {
		if word, bit := &used[r>>6], uint64(1)<<(r&63); *word&bit == 0 {
			*word |= bit
			if n++; n == toneFull {
				break
			}
		}
	}
	return n + 1
}

// WithCurve gives the same screen with c folded into its thresholds: ink where c(tone) passes the threshold.
// It costs nothing a pixel. The curve replaces any folded before; bare stays bare and solid solid whatever c says.
func (s *Screen) WithCurve(c tone.Curve) *Screen {
	folded := *s
	folded.fold(c)
	return &folded
}

// Plain gives the same screen without curve and limits: ink covers the tone itself. A control strip is drawn so.
func (s *Screen) Plain() *Screen {
	plain := *s
	plain.Spec.MinDot, plain.Spec.MinGap = 0, 0
	plain.fold(tone.Curve{})
	return &plain
}

// Grid is the size in device pixels of the blocks, counted from the film's origin, that take one tone each: the FM
// dot, else 1 x 1. Whoever upsamples a plane for this screen samples at their centres, so that no dot is cut.
func (s *Screen) Grid() (xPX, yPX int) { return s.gridX, s.repeat }

// leastCells is the least number of cells in a supercell: 16 give 16 phases of the dot against the pixels, and so that
// many times the tones of one cell.
const leastCells = 16

// grid ranks the pixels of a supercell by the spot function.
func (s *Screen) grid(c supercell) {
	s.setGrid(c)
	s.rank = dotOrder(c, c, s.Spec.parts())
	s.ranks = len(s.rank)
}

// setGrid notes what a supercell gives.
func (s *Screen) setGrid(c supercell) {
	s.ActualLPI, s.ActualAngleDeg = c.actual(s.Spec)
	s.strip = c.pixels()
}
