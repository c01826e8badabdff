// Package kernel chooses among the ways of doing one inner loop: assembly where the machine runs it, words, the plain
// definition.
//
// In go a loop's variants, the fastest first; out comes the one to run here. All of a loop's variants give the same bytes:
// the tests of whoever has them hold each against the definition. It also moves words in and out of bytes unchecked, for
// the loops in Go. It knows no loop.
package kernel

// Variant is one way of doing what a loop does, and whether this machine can.
type Variant[F any] struct {
	Name string
	Able bool
	Run  F
}

// Fastest is the first of the variants that the machine can run; without one, the definition.
func Fastest[F any](variants []Variant[F], definition F) F {
	for _, v := range variants {
		if v.Able {
			return v.Run
		}
	}
	return definition
}
