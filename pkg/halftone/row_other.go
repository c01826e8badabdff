//go:build purego || !amd64

package halftone

// rowVariants are the kernels, the fastest first.
var rowVariants = []rowVariant{{"words", true, rowWords}}
