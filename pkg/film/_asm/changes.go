// Command asm writes changes_amd64.s. In this folder: go run changes.go -out ../changes_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/ir"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// columns holds the numbers 0 to 31, the columns of half a word's bits.
func columns() Mem {
	data := GLOBL("columns", RODATA|NOPTR)
	for i := range 32 {
		DATA(2*i, U16(i))
	}
	return data
}

// compress is VPCOMPRESSW with zeroing, which this avo does not list: the lanes of from that mask names, moved together.
func compress(from, mask, to Register) {
	Instruction(&ir.Instruction{Opcode: "VPCOMPRESSW", Suffixes: []string{"Z"}, Operands: []Op{from, mask, to},
		Inputs: []Op{from, mask}, Outputs: []Op{to}, ISA: []string{"AVX512VBMI2"}})
}

// main makes listAVX512: of the 32 columns of half a word those are kept, one after another, where the colour changes.
// All 32 places are stored; the next half overwrites what it did not have.
func main() {
	ConstraintExpr("!purego")
	numbers := columns()
	TEXT("listAVX512", NOSPLIT, "func(list []byte, row []uint64) (count int)")
	Doc("listAVX512 lists the changes of a row.")
	list, row := Load(Param("list").Base(), GP64()), Load(Param("row").Base(), GP64())
	words := Load(Param("row").Len(), GP64())
	start, carry := GP64(), GP64()
	MOVQ(list, start)
	XORQ(carry, carry)
	here, step, thirtyTwo := ZMM(), ZMM(), GP32()
	VMOVDQU16(numbers, here)
	MOVL(U32(32), thirtyTwo)
	VPBROADCASTW(thirtyTwo, step)
	half := func(edges Register) {
		mask, kept, count := K(), ZMM(), GP64()
		KMOVD(edges.(GPVirtual).As32(), mask)
		compress(here, mask, kept)
		VMOVDQU16(kept, Mem{Base: list})
		VPADDW(step, here, here)
		POPCNTL(edges.(GPVirtual).As32(), count.As32())
		LEAQ(Mem{Base: list, Index: count, Scale: 2}, list)
	}
	TESTQ(words, words)
	JZ(LabelRef("done"))
	Label("loop")
	word, edges := GP64(), GP64()
	MOVQ(Mem{Base: row}, word)
	LEAQ(Mem{Base: carry, Index: word, Scale: 2}, edges)
	XORQ(word, edges)
	MOVQ(word, carry)
	SHRQ(Imm(63), carry)
	half(edges)
	SHRQ(Imm(32), edges)
	half(edges)
	ADDQ(Imm(8), row)
	DECQ(words)
	JNZ(LabelRef("loop"))
	Label("done")
	SUBQ(start, list)
	SHRQ(Imm(1), list)
	Store(list, ReturnIndex(0))
	VZEROUPPER()
	RET()
	Generate()
}
