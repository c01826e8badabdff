// Package testdata carries the demo artwork inside a program, so that tests, demos and benchmarks of every package read
// the same pictures wherever they run.
//
// The pictures belong to an invented village fair and are drawn by testdata/demo; README.md says what each is for.
// The package decodes nothing: it hands out the files as they stand.
package testdata

import "embed"

// Art holds the demo pictures as PNG files under art/: orchard-fair.png (five flat inks), lantern-night.png (continuous
// tone with soft alpha) and bee-stencil.png (one ink). Read only; safe for concurrent use.
//
//go:embed art/*.png
var Art embed.FS
