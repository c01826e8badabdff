//go:build purego || !amd64

package separate

import "tamis/pkg/kernel"

// edgeVariants are the kernels, the fastest first.
var edgeVariants = []kernel.Variant[edges]{{Name: "plain", Able: true, Run: plainEdges}}
