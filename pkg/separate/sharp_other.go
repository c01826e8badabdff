//go:build purego || !amd64

package separate

// edgeVariants are the kernels, the fastest first.
var edgeVariants = []edges{plainEdges}
