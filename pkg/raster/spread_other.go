//go:build purego || !amd64

package raster

import "tamis/pkg/kernel"

// spreadVariants are the kernels, the fastest first.
var spreadVariants = []kernel.Variant[spreadKernel]{{Name: "words", Able: true, Run: spreadWords}}
