// Command asm writes mix_amd64.s. In this folder: go run mix.go -out ../mix_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// The places in a separate.mixConstants, in bytes.
const (
	upAt       = 0
	lanesAt    = 64
	strideAt   = 192 // R, G, B, all three
	cellMaskAt = 208
	wholeAt    = 212
)

// fracShift is separate.fracShift.
const fracShift = 23

// The places of eight pixels' node addresses on the stack: low corner, then after one, two of the axes.
const addresses = 96

// main makes mixBlocks: eight pixels a turn.
func main() {
	ConstraintExpr("!purego")
	TEXT("mixBlocks", NOSPLIT,
		"func(dst []uint64, src []byte, blocks int, s *byte, group []uint64, c *byte)")
	Doc("mixBlocks looks up eight pixels a block.")
	places := AllocLocal(addresses)
	dst, src := Load(Param("dst").Base(), GP64()), Load(Param("src").Base(), GP64())
	count := Load(Param("blocks"), GP64())
	steps, group := Load(Param("s"), GP64()), Load(Param("group").Base(), GP64())
	c := Load(Param("c"), GP64())
	far := GP64() // the node after all three axes
	MOVL(Mem{Base: c, Disp: strideAt + 12}, far.As32())
	ADDQ(group, far)
	ones := YMM()
	VPCMPEQD(ones, ones, ones)
	TESTQ(count, count)
	JZ(LabelRef("done"))
	Label("loop")
	early, late := where(src, steps, c, places, ones)
	var bytes [2]VecVirtual
	for half := range bytes {
		a := pair(2*half, group, far, c, places, early, late)
		b := pair(2*half+1, group, far, c, places, early, late)
		VPACKUSWB(b, a, a)
		VPERMQ(Imm(0xd8), a, a)
		bytes[half] = a
	}
	VMOVDQU(bytes[0], Mem{Base: dst})
	VMOVDQU(bytes[1], Mem{Base: dst, Disp: 32})
	ADDQ(Imm(32), src)
	ADDQ(Imm(64), dst)
	DECQ(count)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
	Generate()
}

// where works out eight pixels' nodes and weights: the addresses go to places; early holds the weights of the first
// two nodes in a pixel's 32 bits, late those of the others.
func where(src, steps, c Register, places Mem, ones VecVirtual) (early, late VecVirtual) {
	px, byteMask := YMM(), YMM()
	VMOVDQU(Mem{Base: src}, px)
	VPSRLD(Imm(24), ones, byteMask)
	var v [3]VecVirtual // the axes' steps
	for axis := range v {
		code, all := YMM(), YMM()
		if axis > 0 {
			VPSRLD(Imm(uint64(8*axis)), px, code)
			VPAND(byteMask, code, code)
		} else {
			VPAND(byteMask, px, code)
		}
		VMOVDQA(ones, all)
		v[axis] = YMM()
		VPXOR(v[axis], v[axis], v[axis])
		VPGATHERDD(all, Mem{Base: steps, Index: code, Scale: 4, Disp: 1024 * axis}, v[axis])
	}
	sum, most, least := YMM(), YMM(), YMM()
	VPADDD(v[1], v[0], sum)
	VPADDD(v[2], sum, sum)
	VPMAXUD(v[1], v[0], most)
	VPMAXUD(v[2], most, most)
	VPMINUD(v[1], v[0], least)
	VPMINUD(v[2], least, least)
	corners(v, sum, most, least, c, places)
	middle := YMM()
	VPSUBD(most, sum, middle)
	VPSUBD(least, middle, middle)
	for _, r := range []VecVirtual{most, middle, least} {
		VPSRLD(Imm(fracShift), r, r)
	}
	early, late = YMM(), YMM()
	VPBROADCASTD(Mem{Base: c, Disp: wholeAt}, early)
	VPSUBD(most, early, early)
	VPSUBD(middle, most, most)
	VPSLLD(Imm(16), most, most)
	VPOR(most, early, early)
	VPSUBD(least, middle, late)
	VPSLLD(Imm(16), least, least)
	VPOR(least, late, late)
	return early, late
}

// corners stores the byte offsets of three of the nodes: the low one, that after the axis of the largest fraction,
// that before the axis of the smallest. The fourth lies across the cell from the first.
func corners(v [3]VecVirtual, sum, most, least VecVirtual, c Register, places Mem) {
	low, first, last, is := YMM(), YMM(), YMM(), YMM()
	VPBROADCASTD(Mem{Base: c, Disp: cellMaskAt}, low)
	VPAND(sum, low, low)
	VPSLLD(Imm(4), low, low)
	VMOVDQU(low, places.Offset(0))
	var stride [4]VecVirtual
	for i := range stride {
		stride[i] = YMM()
		VPBROADCASTD(Mem{Base: c, Disp: strideAt + 4*i}, stride[i])
	}
	VPCMPEQD(v[1], most, is)
	VPBLENDVB(is, stride[1], stride[2], first)
	VPCMPEQD(v[0], most, is)
	VPBLENDVB(is, stride[0], first, first)
	VPADDD(low, first, first)
	VMOVDQU(first, places.Offset(32))
	VPCMPEQD(v[1], least, is)
	VPBLENDVB(is, stride[1], stride[0], last)
	VPCMPEQD(v[2], least, is)
	VPBLENDVB(is, stride[2], last, last)
	VPSUBD(last, stride[3], last)
	VPADDD(low, last, last)
	VMOVDQU(last, places.Offset(64))
}

// pair weighs pixels 2n and 2n+1, one a half of a register: eight 16-bit tones each, 0..255.
func pair(n int, group, far, c Register, places Mem, early, late VecVirtual) VecVirtual {
	var node [4]VecVirtual
	at, next := GP64(), GP64()
	for i, corner := range []int{0, 32, 64} {
		MOVL(places.Offset(corner+8*n), at.As32())
		MOVL(places.Offset(corner+8*n+4), next.As32())
		node[i] = YMM()
		VBROADCASTI128(Mem{Base: group, Index: at, Scale: 1}, node[i])
		VINSERTI128(Imm(1), Mem{Base: group, Index: next, Scale: 1}, node[i], node[i])
		if i == 0 {
			node[3] = YMM()
			VBROADCASTI128(Mem{Base: far, Index: at, Scale: 1}, node[3])
			VINSERTI128(Imm(1), Mem{Base: far, Index: next, Scale: 1}, node[3], node[3])
			at, next = GP64(), GP64()
		}
	}
	lanes, first, second := YMM(), YMM(), YMM()
	VMOVDQU(Mem{Base: c, Disp: lanesAt + 32*n}, lanes)
	VPERMD(early, lanes, first)
	VPERMD(late, lanes, second)
	up := Mem{Base: c, Disp: upAt + 32*(n%2)}
	low, high, rest := YMM(), YMM(), YMM()
	VPUNPCKLWD(node[1], node[0], low)
	VPUNPCKHWD(node[1], node[0], high)
	VPMADDWD(first, low, low)
	VPMADDWD(first, high, high)
	VPUNPCKLWD(node[3], node[2], rest)
	VPMADDWD(second, rest, rest)
	VPADDD(rest, low, low)
	VPUNPCKHWD(node[3], node[2], rest)
	VPMADDWD(second, rest, rest)
	VPADDD(rest, high, high)
	VPADDD(up, low, low)
	VPADDD(up, high, high)
	VPSRLD(Imm(16), low, low)
	VPSRLD(Imm(16), high, high)
	VPACKUSDW(high, low, low)
	return low
}
