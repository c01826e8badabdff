// Command asm writes sharp_amd64.s. In this folder: go run sharp.go -out ../sharp_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// The tones of separate's sharpGeneric.
const (
	bareTone      = 8
	sharpContrast = 160
)

// main makes the kernels that find sharp borders, 32 pixels a turn.
func main() {
	ConstraintExpr("!purego")
	sharp()
	heap()
	Generate()
}

// sharp makes sharpBlocks: the contrast of each pixel's two neighbours to every side decides what it becomes.
func sharp() {
	TEXT("sharpBlocks", NOSPLIT, "func(dst, row, above2, above, below, below2 []byte, blocks int)")
	Doc("sharpBlocks is sharpGeneric for 32 pixels a block; row has two pixels more to either side.")
	dst, row := Load(Param("dst").Base(), GP64()), Load(Param("row").Base(), GP64())
	var others [4]Register
	for i, name := range []string{"above2", "above", "below", "below2"} {
		others[i] = Load(Param(name).Base(), GP64())
	}
	count, at := Load(Param("blocks"), GP64()), GP64()
	bare, soft := bytesOf(bareTone-1), bytesOf(sharpContrast-1)
	zero, full := YMM(), YMM()
	VPXOR(zero, zero, zero)
	VPCMPEQB(full, full, full)
	XORQ(at, at)
	TESTQ(count, count)
	JZ(LabelRef("done"))
	Label("loop")
	v := YMM()
	VMOVDQU(Mem{Base: row, Index: at, Scale: 1, Disp: 2}, v)
	var down, across []Mem
	for _, r := range others {
		down = append(down, Mem{Base: r, Index: at, Scale: 1})
	}
	for _, disp := range []int{0, 1, 3, 4} {
		across = append(across, Mem{Base: row, Index: at, Scale: 1, Disp: disp})
	}
	contrast := span(v, down)
	VPMAXUB(span(v, across), contrast, contrast)
	VPSUBUSB(soft, contrast, contrast)
	VPCMPEQB(zero, contrast, contrast) // where no border is sharp
	VPOR(contrast, v, contrast)        // full there, and full stays full
	none := YMM()
	VPSUBUSB(bare, v, none)
	VPCMPEQB(zero, none, none)
	VPANDN(contrast, none, contrast)
	VMOVDQU(contrast, Mem{Base: dst, Index: at, Scale: 1})
	ADDQ(Imm(32), at)
	DECQ(count)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
}

// span is the largest of v and others less the smallest.
func span(v VecVirtual, others []Mem) VecVirtual {
	most, least := YMM(), YMM()
	VPMAXUB(others[0], v, most)
	VPMINUB(others[0], v, least)
	for _, m := range others[1:] {
		VPMAXUB(m, most, most)
		VPMINUB(m, least, least)
	}
	VPSUBB(least, most, most)
	return most
}

// bytesOf is a register of 32 equal bytes.
func bytesOf(v uint64) VecVirtual {
	word, all := GP32(), YMM()
	MOVL(Imm(v*0x01010101), word)
	VMOVD(word, all.AsX())
	VPBROADCASTD(all.AsX(), all)
	return all
}

// heap makes heapBlocks: what is there and what comes, up to 255.
func heap() {
	TEXT("heapBlocks", NOSPLIT, "func(dst, src []byte, blocks int)")
	Doc("heapBlocks is heapGeneric for 32 pixels a block.")
	dst, src := Load(Param("dst").Base(), GP64()), Load(Param("src").Base(), GP64())
	count, at, v := Load(Param("blocks"), GP64()), GP64(), YMM()
	XORQ(at, at)
	TESTQ(count, count)
	JZ(LabelRef("done"))
	Label("loop")
	VMOVDQU(Mem{Base: dst, Index: at, Scale: 1}, v)
	VPADDUSB(Mem{Base: src, Index: at, Scale: 1}, v, v)
	VMOVDQU(v, Mem{Base: dst, Index: at, Scale: 1})
	ADDQ(Imm(32), at)
	DECQ(count)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
}
