//go:build purego || !amd64

package artwork

import "tamis/pkg/kernel"

// alikeVariants are the kernels, the fastest first.
var alikeVariants = []kernel.Variant[alikeKernel]{{Name: "words", Able: true, Run: alikeWords}}
