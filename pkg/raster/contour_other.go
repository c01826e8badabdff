//go:build purego || !amd64

package raster

import "tamis/pkg/kernel"

// sureVariants are the kernels, the fastest first.
var sureVariants = []kernel.Variant[sureKernel]{{Name: "words", Able: true, Run: sureWords}}

// decideVariants are the kernels, the fastest first; without one the definition does it.
var decideVariants []kernel.Variant[decideKernel]

// cutVariants are the kernels, the fastest first; without one the definition does it.
var cutVariants []kernel.Variant[cutKernel]
