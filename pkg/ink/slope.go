package ink

import (
	"math"

	"tamis/pkg/color"
)

// LabSlope gives the colour of l and its derivative: slope[i][c] is that of L, a, b by channel c.
func (l Light) LabSlope() (lab color.Lab, slope [3][3]float64) {
	m := fromChannels()
	x := l.XYZ()
	lab, dx := x.LabSlope()
	for c := range 3 {
		d := Gain * math.Sqrt(math.Abs(l[c])) // of the light by its root
		slope[0][c] = d * dx.Y * 116 * m[1][c]
		slope[1][c] = d * 500 * (float64(dx.X*m[0][c]) - float64(dx.Y*m[1][c]))
		slope[2][c] = d * 200 * (float64(dx.Y*m[1][c]) - float64(dx.Z*m[2][c]))
	}
	return lab, slope
}
