//go:build purego || !amd64

package raster

// spreadVariants are the kernels, the fastest first.
var spreadVariants = []spreadVariant{{"words", true, spreadWords}}
