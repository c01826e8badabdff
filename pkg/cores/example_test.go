package cores_test

import (
	"fmt"

	"tamis/pkg/cores"
)

// A panic in one of the goroutines is met by whoever waits for them.
func ExampleEach() {
	defer func() { fmt.Println(cores.PanicOf(recover())) }()
	squares := make([]int, 4)
	cores.Each(4, func(i int) { squares[i] = i * i })
	fmt.Println(squares)
	cores.Each(4, func(i int) { squares[i] = 6 / (i - 2) })
	// Output:
	// [0 1 4 9]
	// panic: runtime error: integer divide by zero
}
