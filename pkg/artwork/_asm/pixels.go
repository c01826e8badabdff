// Command asm writes pixels_amd64.s. In this folder: go run pixels.go -out ../pixels_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// row is what a kernel's loop has of a pixel: its filtered bytes, those above it as restored, and where its restored ones
// go, in the low four bytes of each.
type row struct{ src, above, out VecVirtual }

// kernel makes a loop over pixels. begin makes registers that last, and gives what restores one pixel of them.
func kernel(name string, begin func() func(r row)) {
	TEXT(name, NOSPLIT, "func(dst, above, src []byte, bytesPX int, alpha uint32)")
	dst, left := Load(Param("dst").Base(), GP64()), Load(Param("dst").Len(), GP64())
	above, src := Load(Param("above").Base(), GP64()), Load(Param("src").Base(), GP64())
	step, alpha := Load(Param("bytesPX"), GP64()), XMM()
	VMOVD(Load(Param("alpha"), GP32()), alpha)
	ADDQ(left, dst)
	ADDQ(left, above)
	NEGQ(left) // both are addressed from their ends
	restore := begin()
	TESTQ(left, left)
	JZ(LabelRef("done"))
	Label("loop")
	r := row{XMM(), XMM(), XMM()}
	VMOVD(Mem{Base: src}, r.src)
	VMOVD(Mem{Base: above, Index: left, Scale: 1}, r.above)
	restore(r)
	VPOR(alpha, r.out, r.out)
	VMOVD(r.out, Mem{Base: dst, Index: left, Scale: 1})
	ADDQ(step, src)
	ADDQ(Imm(4), left)
	JNZ(LabelRef("loop"))
	Label("done")
	RET()
}

func zero() VecVirtual {
	x := XMM()
	VPXOR(x, x, x)
	return x
}

// average keeps the inverted pixel to the left: an instruction gives the mean of bytes rounded up, which of inverted bytes
// is the inverted mean rounded down; less what is added to the mean it is the inverted sum.
func average() func(r row) {
	left, ones := XMM(), XMM()
	VPCMPEQB(ones, ones, ones)
	VMOVDQA(ones, left)
	return func(r row) {
		VPXOR(ones, r.above, r.above)
		VPAVGB(r.above, left, left)
		VPSUBB(r.src, left, left)
		VPXOR(ones, left, r.out)
	}
}

// paeth keeps the pixels left and above left in words, and does what the function of that name does. What is filtered is
// added to all that may be the nearest, while that is found out.
func paeth() func(r row) {
	left, corner, thrice := zero(), zero(), zero()
	return func(r row) {
		VPMOVZXBW(r.src, r.src)
		VPMOVZXBW(r.above, r.above)
		low, high, turn, beyond, beneath := XMM(), XMM(), XMM(), XMM(), XMM()
		VPSUBW(r.above, thrice, turn)
		VPSUBW(left, turn, turn)
		VPMINSW(r.above, left, low)
		VPMAXSW(r.above, left, high)
		VPCMPGTW(turn, high, beyond)
		VPCMPGTW(low, turn, beneath)
		VPADDB(r.src, corner, corner)
		VPADDB(r.src, low, low)
		VPADDB(r.src, high, high)
		VPBLENDVB(beyond, corner, low, low)
		VPBLENDVB(beneath, low, high, left)
		VMOVDQA(r.above, corner)
		VPADDW(corner, corner, thrice)
		VPADDW(corner, thrice, thrice)
		VPACKUSWB(left, left, r.out)
	}
}

func main() {
	ConstraintExpr("!purego")
	kernel("noneAVX", func() func(r row) {
		return func(r row) { VMOVDQA(r.src, r.out) }
	})
	kernel("subAVX", func() func(r row) {
		left := zero()
		return func(r row) {
			VPADDB(r.src, left, left)
			VMOVDQA(left, r.out)
		}
	})
	kernel("upAVX", func() func(r row) {
		return func(r row) { VPADDB(r.src, r.above, r.out) }
	})
	kernel("averageAVX", average)
	kernel("paethAVX", paeth)
	Generate()
}
