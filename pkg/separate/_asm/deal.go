// Command asm writes deal_amd64.s. In this folder: go run deal.go -out ../deal_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// main makes dealBlocks: 32 pixels a turn. A lane of 128 bits begins with two pixels of eight bytes; each step joins what
// two registers have of the same bytes, until a lane is one byte of sixteen pixels.
func main() {
	ConstraintExpr("!purego")
	TEXT("dealBlocks", NOSPLIT, "func(rows **byte, mixed []uint64, blocks int)")
	Doc("dealBlocks deals 32 pixels a block.")
	list, src := Load(Param("rows"), GP64()), Load(Param("mixed").Base(), GP64())
	count, at := Load(Param("blocks"), GP64()), GP64()
	XORQ(at, at)
	mask := YMM()
	VBROADCASTI128(pairs(), mask)
	TESTQ(count, count)
	JZ(LabelRef("done"))
	Label("loop")
	var dwords [2][4]VecVirtual // of four pixels each, bytes 0 to 3 and 4 to 7, by their group of four pixels
	for group := range 4 {
		var words [2]VecVirtual
		for i := range words {
			v := YMM()
			VBROADCASTI128(Mem{Base: src, Disp: 16 * (2*group + i)}, v) // all of v: half of it would not free the register
			VINSERTI128(Imm(1), Mem{Base: src, Disp: 128 + 16*(2*group+i)}, v, v)
			VPSHUFB(mask, v, v)
			words[i] = v
		}
		dwords[0][group], dwords[1][group] = YMM(), YMM()
		VPUNPCKLWD(words[1], words[0], dwords[0][group])
		VPUNPCKHWD(words[1], words[0], dwords[1][group])
	}
	for half, d := range dwords {
		var qwords [2][2]VecVirtual // of eight pixels, by which eight and by which pair of bytes
		for eight := range qwords {
			low, high := YMM(), YMM()
			VPUNPCKLDQ(d[2*eight+1], d[2*eight], low)
			VPUNPCKHDQ(d[2*eight+1], d[2*eight], high)
			qwords[eight] = [2]VecVirtual{low, high}
		}
		for pair := range 2 {
			for odd := range 2 {
				out, row := YMM(), GP64()
				if odd == 0 {
					VPUNPCKLQDQ(qwords[1][pair], qwords[0][pair], out)
				} else {
					VPUNPCKHQDQ(qwords[1][pair], qwords[0][pair], out)
				}
				MOVQ(Mem{Base: list, Disp: 8 * (4*half + 2*pair + odd)}, row)
				VMOVDQU(out, Mem{Base: row, Index: at, Scale: 1})
			}
		}
	}
	ADDQ(Imm(32), at)
	ADDQ(U32(256), src)
	DECQ(count)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
	Generate()
}

// pairs is the order that sets the same bytes of two pixels side by side.
func pairs() Mem {
	order := GLOBL("dealPairs", RODATA|NOPTR)
	for k := range 8 {
		DATA(2*k, U8(k))
		DATA(2*k+1, U8(8+k))
	}
	return order
}
