//go:build purego || !amd64

package separate

// mixVariants are the kernels, the fastest first.
var mixVariants = []mixVariant{{"words", true, mixWords}}
