//go:build purego || !amd64

package artwork

import "tamis/pkg/kernel"

// pixelVariants are the ways of undoing filters, the fastest first.
var pixelVariants = []kernel.Variant[pixelFilters]{{Name: "words", Able: true, Run: inWords}}
