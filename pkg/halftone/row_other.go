//go:build purego || !amd64

package halftone

import "tamis/pkg/kernel"

// rowVariants are the kernels, the fastest first.
var rowVariants = []kernel.Variant[rowKernel]{{Name: "words", Able: true, Run: rowWords}}
