// Command asm writes changes_amd64.s. In this folder: go run changes.go -out ../changes_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/ir"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// columns holds the numbers 0 to 63, the columns of a word's bits.
func columns() Mem {
	data := GLOBL("columns", RODATA|NOPTR)
	for i := range 64 {
		DATA(i, U8(i))
	}
	return data
}

// compress is VPCOMPRESSB with zeroing, which this avo does not list: the lanes of from that mask names, moved together.
func compress(from, mask, to Register) {
	Instruction(&ir.Instruction{Opcode: "VPCOMPRESSB", Suffixes: []string{"Z"}, Operands: []Op{from, mask, to},
		Inputs: []Op{from, mask}, Outputs: []Op{to}, ISA: []string{"AVX512VBMI2"}})
}

// main makes listAVX512: of the 64 columns of a word those are kept, one after another, where the colour changes. Sixteen
// places are stored; the next word overwrites what it did not have. Words of more changes are stored as 32, and 32 more.
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
	all, first, step, sixtyFour := ZMM(), ZMM(), ZMM(), GP32() // first: the word's first column, in every lane
	VMOVDQU8(numbers, all)
	VPXORQ(first, first, first)
	MOVL(U32(64), sixtyFour)
	VPBROADCASTW(sixtyFour, step)
	TESTQ(words, words)
	JZ(LabelRef("done"))
	Label("loop")
	word, edges, count := GP64(), GP64(), GP64()
	mask, kept, places := K(), ZMM(), ZMM()
	MOVQ(Mem{Base: row}, word)
	LEAQ(Mem{Base: carry, Index: word, Scale: 2}, edges)
	XORQ(word, edges)
	MOVQ(word, carry)
	SHRQ(Imm(63), carry)
	KMOVQ(edges, mask)
	compress(all, mask, kept)
	POPCNTQ(edges, count)
	CMPQ(count, Imm(16))
	JG(LabelRef("many"))
	VPMOVZXBW(kept.AsX(), places.AsY())
	VPADDW(first.AsY(), places.AsY(), places.AsY())
	VMOVDQU(places.AsY(), Mem{Base: list})
	Label("next")
	VPADDW(step, first, first)
	LEAQ(Mem{Base: list, Index: count, Scale: 2}, list)
	ADDQ(Imm(8), row)
	DECQ(words)
	JNZ(LabelRef("loop"))
	Label("done")
	SUBQ(start, list)
	SHRQ(Imm(1), list)
	Store(list, ReturnIndex(0))
	VZEROUPPER()
	RET()
	Label("many")
	VPMOVZXBW(kept.AsY(), places)
	VPADDW(first, places, places)
	VMOVDQU16(places, Mem{Base: list})
	CMPQ(count, Imm(32))
	JLE(LabelRef("next"))
	VEXTRACTI64X4(Imm(1), kept, kept.AsY())
	VPMOVZXBW(kept.AsY(), places)
	VPADDW(first, places, places)
	VMOVDQU16(places, Mem{Base: list, Disp: 64})
	JMP(LabelRef("next"))
	Generate()
}
