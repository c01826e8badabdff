package ink

import "tamis/pkg/color"

// LabSlope gives the colour of l and its derivative: slope[i][c] is that of L, a, b by channel c.
func (l Light) LabSlope() (lab color.Lab, slope [3][3]float64) {
	m := fromChannels()
	x := l.XYZ()
	lab, dx := x.LabSlope()
	for c := range 3 {
		slope[0][c] = dx.Y * 116 * m[1][c]
		slope[1][c] = 500 * (float64(dx.X*m[0][c]) - float64(dx.Y*m[1][c]))
		slope[2][c] = 200 * (float64(dx.Y*m[1][c]) - float64(dx.Z*m[2][c]))
	}
	return lab, slope
}
