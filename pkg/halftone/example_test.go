package halftone_test

import (
	"fmt"

	"tamis/pkg/halftone"
)

// A screen says what ruling and angle the device's pixels give it.
func Example() {
	s, err := halftone.New(halftone.Spec{Kind: halftone.AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 720})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f lpi at %.2f degrees\n", s.ActualLPI, s.ActualAngleDeg)
	_, err = halftone.New(halftone.Spec{Kind: halftone.AM, FreqLPI: 120, XDPI: 300, YDPI: 300})
	fmt.Println(err)
	// Output:
	// 55.0 lpi at 22.49 degrees
	// 120 lpi needs 4 device pixels a line; 300 x 300 dpi allow 75 lpi
}
