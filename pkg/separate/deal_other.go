//go:build purego || !amd64

package separate

import "tamis/pkg/kernel"

// dealVariants are the kernels, the fastest first.
var dealVariants = []kernel.Variant[dealKernel]{{Name: "words", Able: true, Run: dealWords}}
