// Command asm writes row_amd64.s. In this folder: go run row.go -out ../row_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

func main() {
	ConstraintExpr("!purego")
	rowAVX2()
	Generate()
}

// signature is that of a rowKernel.
const signature = "func(dst []uint64, upper, lower []byte, weight int, row []byte, column, width int)"

// args are a kernel's arguments; at is the address of the thresholds of the word's first pixel.
type args struct{ dst, words, upper, lower, weight, row, column, width, at Register }

func load() args {
	var a args
	a.dst, a.words = Load(Param("dst").Base(), GP64()), Load(Param("dst").Len(), GP64())
	a.upper, a.lower = Load(Param("upper").Base(), GP64()), Load(Param("lower").Base(), GP64())
	a.weight, a.row = Load(Param("weight"), GP64()), Load(Param("row").Base(), GP64())
	a.column, a.width = Load(Param("column"), GP64()), Load(Param("width"), GP64())
	a.at = GP64()
	return a
}

// each makes the loop over dst's words round word, which leaves 64 bits in its result.
func (a args) each(word func() Register) {
	TESTQ(a.words, a.words)
	JZ(LabelRef("done"))
	Label("loop")
	LEAQ(Mem{Base: a.row, Index: a.column, Scale: 2}, a.at)
	MOVQ(word(), Mem{Base: a.dst})
	ADDQ(Imm(8), a.dst)
	ADDQ(U32(128), a.upper)
	ADDQ(U32(128), a.lower)
	ADDQ(Imm(64), a.column)
	Label("wrap")
	CMPQ(a.column, a.width)
	JLT(LabelRef("next"))
	SUBQ(a.width, a.column)
	JMP(LabelRef("wrap"))
	Label("next")
	DECQ(a.words)
	JNZ(LabelRef("loop"))
	Label("done")
}

// rowAVX2 compares 16 pixels in the lanes of a register: y = 32 upper + weight (lower-upper) + threshold, whose top
// bit is the answer. Two registers are packed to bytes (which keeps the sign), put in order, and their signs gathered.
func rowAVX2() {
	TEXT("rowAVX2", NOSPLIT, signature)
	Doc("rowAVX2 is rowGeneric, 32 pixels a turn.")
	a := load()
	weight := YMM()
	VMOVD(a.weight.(GPVirtual).As32(), weight.AsX())
	VPBROADCASTW(weight.AsX(), weight)
	lanes := func(at int) VecVirtual {
		y, rise := YMM(), YMM()
		VMOVDQU(Mem{Base: a.upper, Disp: at}, y)
		VMOVDQU(Mem{Base: a.lower, Disp: at}, rise)
		VPSUBW(y, rise, rise)
		VPMULLW(weight, rise, rise)
		VPSLLW(Imm(5), y, y)
		VPADDW(Mem{Base: a.at, Disp: at}, y, y)
		VPADDW(rise, y, y)
		return y
	}
	half := func(at int) GPVirtual {
		first, second := lanes(at), lanes(at+32)
		VPACKSSWB(second, first, first)
		VPERMQ(Imm(0xd8), first, first)
		bits := GP64()
		VPMOVMSKB(first, bits.As32())
		return bits
	}
	a.each(func() Register {
		low, high := half(0), half(64)
		SHLQ(Imm(32), high)
		ORQ(high, low)
		return low
	})
	VZEROUPPER()
	RET()
}
