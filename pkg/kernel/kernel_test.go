package kernel_test

import (
	"fmt"

	"tamis/pkg/kernel"
)

func ExampleFastest() {
	variants := []kernel.Variant[string]{{"avx1024", false, "lanes"}, {"words", true, "words"}}
	fmt.Println(kernel.Fastest(variants, "plain"), kernel.Fastest(variants[:1], "plain"))
	// Output: words plain
}
