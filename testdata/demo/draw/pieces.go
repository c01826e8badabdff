// Package draw makes the demo artwork: three pieces for an invented village fair, drawn by this code alone.
//
// In go nothing but fixed seeds; out come straight-alpha sRGB pictures at a real print's size, the same bytes every run
// and on any number of cores. Flat pieces are figures filled with exact coverage (x/image/vector) and laid over each
// other in sRGB values, so that interiors hold their ink's very bytes; the continuous one is computed in linear light.
// The package knows nothing of the service: what it makes is committed beside it and read by tests and demos as files.
//
// Ours: motif, names and scene are invented; lettering comes from the outlines of the Go fonts (BSD licence).
package draw

import (
	"image"
	"image/color"
)

// Piece is one picture: the name of its file and what draws it.
type Piece struct {
	File string
	Draw func() *image.NRGBA
}

// Pieces lists the demo artwork in the order the README shows it.
func Pieces() []Piece {
	return []Piece{
		{"orchard-fair.png", OrchardFair},
		{"lantern-night.png", LanternNight},
		{"bee-stencil.png", BeeStencil},
	}
}

// rgb gives an opaque ink from 0xRRGGBB.
func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 255}
}
