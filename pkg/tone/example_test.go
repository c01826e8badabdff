package tone_test

import (
	"fmt"

	"tamis/pkg/tone"
)

// A press grows every dot; the compensation makes the data lighter, so that the print has the tone asked for.
func Example() {
	press := tone.EdgeGrowth(55, 10)
	data := tone.Compensation(tone.Curve{}, press)
	fmt.Printf("50 %% prints as %.1f %%\n", 100*press.At(0.5))
	fmt.Printf("to print 50 %%, send %.1f %%\n", 100*data.At(0.5))
	fmt.Printf("which prints as %.1f %%\n", 100*press.At(data.At(0.5)))
	// Output:
	// 50 % prints as 56.1 %
	// to print 50 %, send 44.4 %
	// which prints as 50.0 %
}
