package halftone

import "math"

// Actual is the ruling and the angle that New would give a specification, without ranking its thresholds: what a quote
// needs. Both are 0 for FM. What cannot be is the fault New gives.
func Actual(s Spec) (freqLPI, angleDeg float64, err error) {
	if err := s.check(); err != nil || s.Kind == FM {
		return 0, 0, err
	}
	least := leastCells
	if s.Kind == Hybrid {
		least = hybridCells
	}
	freqLPI, angleDeg = findSupercell(s, least).actual(s)
	return freqLPI, angleDeg, nil
}

// actual is the ruling a supercell gives and its angle, counted as asked: 359.99 was asked as 360.
func (c supercell) actual(s Spec) (freqLPI, angleDeg float64) {
	f, _ := c.frequencies(s)
	turn := math.Atan2(f[1], f[0])*180/math.Pi - s.AngleDeg
	return math.Hypot(f[0], f[1]), s.AngleDeg + math.Remainder(turn, 360)
}
