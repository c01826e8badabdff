package color_test

import (
	"fmt"

	"tamis/pkg/color"
)

func Example() {
	garment, _ := color.ParseHex("#17181a")
	ink := color.Lab{L: 88, A: -1, B: 1}
	fmt.Printf("garment L %.1f, ink as %s, %.1f apart\n",
		garment.Lab().L, ink.RGB8().Hex(), color.DeltaE00(garment.Lab(), ink))
	// Output: garment L 8.2, ink as #dbdddb, 79.0 apart
}
