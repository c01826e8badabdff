//go:build purego || !amd64

package raster

import "tamis/pkg/kernel"

// sureVariants are the kernels, the fastest first.
var sureVariants = []kernel.Variant[sureKernel]{{Name: "words", Able: true, Run: sureWords}}
