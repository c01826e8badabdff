// Command asm writes spread_amd64.s. In this folder: go run spread.go -out ../spread_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
)

// The places in a raster.spreadBlock, in bytes.
const (
	firstAt, secondAt = 0, 4
	shuffleAt         = 8
	weightsAt         = 40
	blockBytes        = 72
)

// main makes spreadBlocks: 16 pixels a turn. Each half of a register takes 16 source pixels from its own place, puts
// the two neighbours of each device pixel side by side, and one instruction weighs and adds them.
func main() {
	ConstraintExpr("!purego")
	TEXT("spreadBlocks", NOSPLIT, "func(dst, src, blocks []byte)")
	Doc("spreadBlocks makes 16 pixels of each block.")
	dst, src := Load(Param("dst").Base(), GP64()), Load(Param("src").Base(), GP64())
	block, count := Load(Param("blocks").Base(), GP64()), Load(Param("blocks").Len(), GP64())
	half := YMM() // of the 8ths that are cut off
	VPCMPEQW(half, half, half)
	VPSRLW(Imm(15), half, half)
	VPSLLW(Imm(2), half, half)
	TESTQ(count, count)
	JZ(LabelRef("done"))
	Label("loop")
	first, second, tones := GP64(), GP64(), YMM()
	MOVL(Mem{Base: block, Disp: firstAt}, first.As32())
	MOVL(Mem{Base: block, Disp: secondAt}, second.As32())
	VMOVDQU(Mem{Base: src, Index: first, Scale: 1}, tones.AsX())
	VINSERTI128(Imm(1), Mem{Base: src, Index: second, Scale: 1}, tones, tones)
	VPSHUFB(Mem{Base: block, Disp: shuffleAt}, tones, tones)
	VPMADDUBSW(Mem{Base: block, Disp: weightsAt}, tones, tones)
	VPADDW(half, tones, tones)
	VPSRLW(Imm(3), tones, tones)
	VMOVDQU(tones, Mem{Base: dst})
	ADDQ(Imm(32), dst)
	ADDQ(Imm(blockBytes), block)
	DECQ(count)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
	Generate()
}
