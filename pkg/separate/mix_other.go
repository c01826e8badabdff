//go:build purego || !amd64

package separate

import "tamis/pkg/kernel"

// mixVariants are the kernels, the fastest first.
var mixVariants = []kernel.Variant[mixKernel]{{Name: "words", Able: true, Run: mixWords}}
