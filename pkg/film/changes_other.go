//go:build purego || !amd64

package film

import "tamis/pkg/kernel"

// listVariants are the kernels, the fastest first.
var listVariants = []kernel.Variant[listKernel]{{Name: "zeros", Able: true, Run: listByZeros}}
