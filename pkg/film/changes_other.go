//go:build purego || !amd64

package film

// listVariants are the kernels, the fastest first.
var listVariants = []listVariant{{"zeros", true, listByZeros}}
