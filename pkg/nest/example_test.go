package nest_test

import (
	"fmt"

	"tamis/pkg/nest"
)

func Example() {
	roll := nest.Roll{Width: 1000, GapX: 20, GapY: 20, Turn: true}
	films := []nest.Size{{Width: 600, Height: 400}, {Width: 380, Height: 600}, {Width: 600, Height: 180}}
	plan, err := nest.Pack(roll, films)
	fmt.Println(plan.Length(), plan.Places[0].Turned, err)
	fmt.Printf("%.2f filled\n", plan.Filled(roll, films))
	// Output:
	// 600 false <nil>
	// 0.96 filled
}
