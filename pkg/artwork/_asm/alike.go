// Command asm writes alike_amd64.s. In this folder: go run alike.go -out ../alike_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
)

// main makes alikeBlocks: 64 pixels a word of dst, eight at a time. A pixel's 32 bits are left 0 where no channel
// differs by more than tolerance.
func main() {
	ConstraintExpr("!purego")
	TEXT("alikeBlocks", NOSPLIT, "func(dst []uint64, a []uint8, b []uint8, tolerance uint64)")
	Doc("alikeBlocks compares 64 pixels a word.")
	dst, words := Load(Param("dst").Base(), GP64()), Load(Param("dst").Len(), GP64())
	a, b := Load(Param("a").Base(), GP64()), Load(Param("b").Base(), GP64())
	tolerance := Load(Param("tolerance"), GP64())
	most, zero := YMM(), YMM()
	VMOVQ(tolerance, most.AsX())
	VPBROADCASTB(most.AsX(), most)
	VPXOR(zero, zero, zero)
	TESTQ(words, words)
	JZ(LabelRef("done"))
	Label("loop")
	word := GP64()
	for group := range 8 {
		x, y, over, under := YMM(), YMM(), YMM(), YMM()
		VMOVDQU(Mem{Base: a, Disp: 32 * group}, x)
		VMOVDQU(Mem{Base: b, Disp: 32 * group}, y)
		VPSUBUSB(y, x, over)
		VPSUBUSB(x, y, under)
		VPOR(under, over, over)
		VPSUBUSB(most, over, over)
		VPCMPEQD(zero, over, over)
		bits := GP64()
		VMOVMSKPS(over, bits.As32())
		if group == 0 {
			MOVQ(bits, word)
			continue
		}
		SHLQ(Imm(uint64(8*group)), bits)
		ORQ(bits, word)
	}
	MOVQ(word, Mem{Base: dst})
	ADDQ(U32(256), a)
	ADDQ(U32(256), b)
	ADDQ(Imm(8), dst)
	DECQ(words)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
	Generate()
}
