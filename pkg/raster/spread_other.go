package raster

// spreadVariants are the kernels, the fastest first.
var spreadVariants = []spreadVariant{{"words", true, spreadWords}}
