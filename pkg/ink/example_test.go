package ink_test

import (
	"fmt"

	"tamis/pkg/color"
	"tamis/pkg/ink"
)

func Example() {
	white := ink.Ink{Name: "white", OverWhite: color.Lab{L: 94}, OverBlack: color.Lab{L: 88}}
	red := ink.Ink{
		Name:      "red",
		OverWhite: color.Lab{L: 46, A: 66, B: 44},
		OverBlack: color.Lab{L: 32, A: 44, B: 28},
	}
	garment := color.Lab{L: 8, B: -1}
	alone := ink.NewStack([]ink.Ink{red}, ink.DefaultCards(), garment)
	based := ink.NewStack([]ink.Ink{white, red}, ink.DefaultCards(), garment)
	fmt.Printf("red on black L %.0f, on an underbase L %.0f\n",
		alone.Predict([]float64{1}).L, based.Predict([]float64{1, 1}).L)
	// Output: red on black L 32, on an underbase L 44
}
