//go:build !purego

package film

import (
	"golang.org/x/sys/cpu"

	"tamis/pkg/kernel"
)

// listVariants are the kernels, the fastest first.
var listVariants = []kernel.Variant[listKernel]{
	{Name: "avx512", Able: cpu.X86.HasAVX512BW && cpu.X86.HasAVX512VBMI2 && cpu.X86.HasPOPCNT, Run: listAVX512},
	{Name: "zeros", Able: true, Run: listByZeros},
}

// listAVX512 is listGeneric 64 pixels at a time: one instruction moves the columns of those that change together.
// Sixteen places are stored, what was not there is overwritten; more where there are more. film/_asm writes it.
//
// Cost: 18 instructions for 64 pixels; 0.045 ns a pixel where zeros take 0.12 and 32 pixels at a time took 0.063.
//
//go:noescape
func listAVX512(list []byte, row []uint64) (count int)
