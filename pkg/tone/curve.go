// Package tone holds what happens to a tone between the data and the cloth: calibration curves of the film device and
// of the press, measured or assumed, and the compensation that undoes them.
//
// In go readings of a printed control strip (densities or areas), or the parameters of a growth model; out come
// monotone curves from 0..1 to 0..1, their inverses and their compositions. It refuses to know screens, inks and
// files: halftone folds a curve into its thresholds.
//
// Sources: A. Murray, J. Franklin Inst. 221 (1936); J. A. C. Yule and W. J. Nielsen, TAGA (1951); F. N. Fritsch and
// R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) for the monotone interpolation.
package tone

// knots is the number of intervals of a curve's table: 4096 keep the points of a measured curve to 0.0005
// (TestCurvePassesItsPointsAndNeverFalls), and 8 KB stay in the first cache.
const knots = 4096

// Curve is a monotone map of tones, 0..1 to 0..1, held as 16-bit values at 4097 even steps and read by straight lines
// between them. The zero value is the identity. A Curve is never changed once made: copies share the table.
type Curve struct{ table []uint16 }

// At reads the curve at x; x outside 0..1 (or not a number) is taken as the nearer end.
func (c Curve) At(x float64) float64 {
	if !(x > 0) {
		x = 0
	} else if x > 1 {
		x = 1
	}
	if c.table == nil {
		return x
	}
	p := float64(x * knots)
	i := min(int(p), knots-1)
	lo, hi := float64(c.table[i]), float64(c.table[i+1])
	return (lo + float64((hi-lo)*(p-float64(i)))) / 65535
}

// Identity tells whether the curve changes nothing.
func (c Curve) Identity() bool { return c.table == nil }

// Inverse gives the curve that undoes c: at y the least x whose tone under c is y or more, and 1 where c never gets
// there. So where c is flat (dots lost in highlights, filled in shadows) the inverse jumps, and what c cannot reach
// is asked of the solid.
func (c Curve) Inverse() Curve {
	if c.table == nil {
		return c
	}
	i := 0
	return fromFunc(func(y float64) float64 {
		want := float64(y * 65535)
		for i < knots && float64(c.table[i+1]) < want {
			i++
		}
		if i == knots {
			return 1
		}
		lo, hi := float64(c.table[i]), float64(c.table[i+1])
		if hi <= lo || want <= lo {
			return float64(i) / knots
		}
		return (float64(i) + (want-lo)/(hi-lo)) / knots
	})
}

// Compose gives the curve that applies the given ones in order, the first one first: for a film and the press that
// prints through it, Compose(film, press). Without curves it is the identity.
func Compose(curves ...Curve) Curve {
	bent := false
	for _, c := range curves {
		bent = bent || c.table != nil
	}
	if !bent {
		return Curve{}
	}
	return fromFunc(func(x float64) float64 {
		for _, c := range curves {
			x = c.At(x)
		}
		return x
	})
}

// Compensation gives the curve to apply to the data so that a print through this film and this press has the asked
// tone: the inverse of the two in turn.
func Compensation(film, press Curve) Curve { return Compose(film, press).Inverse() }

// Points samples the curve at n+1 even steps as pairs (in, out), for a document or a drawing. n is at least 1.
func (c Curve) Points(n int) [][2]float64 {
	points := make([][2]float64, n+1)
	for i := range points {
		x := float64(i) / float64(n)
		points[i] = [2]float64{x, c.At(x)}
	}
	return points
}

// fromFunc tables f, asked at rising x from 0 to 1; values are kept in 0..1 and from falling.
func fromFunc(f func(x float64) float64) Curve {
	table := make([]uint16, knots+1)
	low := uint16(0)
	for i := range table {
		v := min(max(f(float64(i)/knots), 0), 1)
		low = max(low, uint16(float64(v*65535)+0.5))
		table[i] = low
	}
	return Curve{table}
}
