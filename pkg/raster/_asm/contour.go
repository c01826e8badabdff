// Command asm writes contour_amd64.s. In this folder: go run contour.go -out ../contour_amd64.s
package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

func main() {
	ConstraintExpr("!purego")
	columns()
	cells()
	decideSums()
	decideCells()
	cut()
	Generate()
}

// columns makes sureColumns: the least and the greatest bytes of four rows, 32 a turn.
func columns() {
	TEXT("sureColumns", NOSPLIT, "func(low, high, a, b, d, e []byte, blocks int)")
	Doc("sureColumns makes the least and the greatest of so many blocks of columns.")
	low, high := Load(Param("low").Base(), GP64()), Load(Param("high").Base(), GP64())
	var rows []Register
	for _, name := range []string{"a", "b", "d", "e"} {
		rows = append(rows, Load(Param(name).Base(), GP64()))
	}
	blocks := Load(Param("blocks"), GP64())
	at := GP64()
	XORQ(at, at)
	TESTQ(blocks, blocks)
	JZ(LabelRef("done"))
	Label("loop")
	least, greatest, next := YMM(), YMM(), YMM()
	VMOVDQU(Mem{Base: rows[0], Index: at, Scale: 1}, least)
	VMOVDQA(least, greatest)
	for _, row := range rows[1:] {
		VMOVDQU(Mem{Base: row, Index: at, Scale: 1}, next)
		VPMINUB(next, least, least)
		VPMAXUB(next, greatest, greatest)
	}
	VMOVDQU(least, Mem{Base: low, Index: at, Scale: 1})
	VMOVDQU(greatest, Mem{Base: high, Index: at, Scale: 1})
	ADDQ(Imm(32), at)
	DECQ(blocks)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
}

// cells makes sureCells: 32 cells a turn. The least and the greatest of four columns are put side by side, so that one
// instruction weighs and adds them; what is above half less one is marked.
func cells() {
	TEXT("sureCells", NOSPLIT, "func(solid, bare []uint64, low, high []byte)")
	Doc("sureCells marks all cells that the marks have room for.")
	solid, bare := Load(Param("solid").Base(), GP64()), Load(Param("bare").Base(), GP64())
	words := Load(Param("solid").Len(), GP64())
	low, high := Load(Param("low").Base(), GP64()), Load(Param("high").Base(), GP64())
	belowHalf, weights, turned := spread(4079), spread(0xf729), spread(0x29f7) // 41 and -9, the first byte's on the right
	ADDQ(words, words)
	JZ(LabelRef("done"))
	Label("loop")
	least, greatest := YMM(), YMM()
	VMOVDQU(Mem{Base: low}, least)
	VMOVDQU(Mem{Base: high}, greatest)
	for i := 1; i < 4; i++ {
		VPMINUB(Mem{Base: low, Disp: i}, least, least)
		VPMAXUB(Mem{Base: high, Disp: i}, greatest, greatest)
	}
	first, second := YMM(), YMM() // their pairs, lower and upper eight of each half
	VPUNPCKLBW(greatest, least, first)
	VPUNPCKHBW(greatest, least, second)
	marks := func(weights VecVirtual) GPVirtual {
		a, b, bits := YMM(), YMM(), GP64()
		VPMADDUBSW(weights, first, a)
		VPMADDUBSW(weights, second, b)
		VPCMPGTW(belowHalf, a, a)
		VPCMPGTW(belowHalf, b, b)
		VPACKSSWB(b, a, a)
		VPMOVMSKB(a, bits.As32())
		return bits
	}
	bits := marks(weights)
	MOVL(bits.As32(), Mem{Base: solid})
	bits = marks(turned)
	NOTL(bits.As32())
	MOVL(bits.As32(), Mem{Base: bare})
	for _, p := range []Register{low, high} {
		ADDQ(Imm(32), p)
	}
	ADDQ(Imm(4), solid)
	ADDQ(Imm(4), bare)
	DECQ(words)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
}

// spread fills the 16-bit lanes of a register with a number.
func spread(n uint32) VecVirtual {
	r, v := GP32(), YMM()
	MOVL(U32(n), r)
	VMOVD(r, v.AsX())
	VPBROADCASTW(v.AsX(), v)
	return v
}

// half is half coverage in the sums' units.
const half = 255 << 15

// decideSums makes decideSums: eight columns a turn, four rows of them each by its weight, less half.
func decideSums() {
	TEXT("decideSums", NOSPLIT, "func(sums []int32, a, b, d, e []byte, down *[4]int32, blocks int)")
	Doc("decideSums sums so many blocks of columns.")
	sums := Load(Param("sums").Base(), GP64())
	down, blocks := Load(Param("down"), GP64()), Load(Param("blocks"), GP64())
	var rows []Register
	var weights []VecVirtual
	for i, name := range []string{"a", "b", "d", "e"} {
		rows = append(rows, Load(Param(name).Base(), GP64()))
		weight := YMM()
		VPBROADCASTD(Mem{Base: down, Disp: 4 * i}, weight)
		weights = append(weights, weight)
	}
	less, r := YMM(), GP32()
	MOVL(U32(half), r)
	VMOVD(r, less.AsX())
	VPBROADCASTD(less.AsX(), less)
	at := GP64()
	XORQ(at, at)
	TESTQ(blocks, blocks)
	JZ(LabelRef("done"))
	Label("loop")
	var sum VecVirtual
	for i, row := range rows {
		product := YMM()
		VPMOVZXBD(Mem{Base: row, Index: at, Scale: 1}, product)
		VPMULLD(weights[i], product, product)
		if i == 0 {
			VPSUBD(less, product, product)
			sum = product
		} else {
			VPADDD(product, sum, sum)
		}
	}
	VMOVDQU(sum, Mem{Base: sums, Index: at, Scale: 4})
	ADDQ(Imm(8), at)
	DECQ(blocks)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
}

// decideCells makes decideCells: eight cells a turn, by the least l and the greatest g of four sums: not ink all over
// where g is above 9 l, bare where l is above 9 g.
func decideCells() {
	TEXT("decideCells", NOSPLIT, "func(inked, open []uint64, sums []int32, blocks int)")
	Doc("decideCells decides so many blocks of cells, a byte of bits each.")
	inked, open := Load(Param("inked").Base(), GP64()), Load(Param("open").Base(), GP64())
	sums, blocks := Load(Param("sums").Base(), GP64()), Load(Param("blocks"), GP64())
	TESTQ(blocks, blocks)
	JZ(LabelRef("done"))
	Label("loop")
	l, g, nine := YMM(), YMM(), YMM()
	VMOVDQU(Mem{Base: sums}, l)
	VMOVDQA(l, g)
	for i := 1; i < 4; i++ {
		next := YMM()
		VMOVDQU(Mem{Base: sums, Disp: 4 * i}, next)
		VPMINSD(next, l, l)
		VPMAXSD(next, g, g)
	}
	above := func(one, other VecVirtual) GPVirtual {
		bits := GP64()
		VPSLLD(Imm(3), other, nine)
		VPADDD(other, nine, nine)
		VPCMPGTD(nine, one, nine)
		VMOVMSKPS(nine, bits.As32())
		return bits
	}
	not := above(g, l)
	bare := above(l, g)
	NOTL(bare.As32())
	ANDL(not.As32(), bare.As32())
	NOTL(not.As32())
	MOVB(not.As8(), Mem{Base: inked})
	MOVB(bare.As8(), Mem{Base: open})
	INCQ(inked)
	INCQ(open)
	ADDQ(Imm(32), sums)
	DECQ(blocks)
	JNZ(LabelRef("loop"))
	Label("done")
	VZEROUPPER()
	RET()
}

// cut makes cutAVX2: eight pixels of an open cell a turn, four in the lanes of each of two registers. The signs of their
// sums are gathered, turned over and shifted to their place in the row.
func cut() {
	TEXT("cutAVX2", NOSPLIT, "func(dst []uint64, x0 int, open uint64, starts, sums, weights []int32)")
	Doc("cutAVX2 inks the pixels of open cells.")
	dst, x0 := Load(Param("dst").Base(), GP64()), Load(Param("x0"), GP64())
	open, starts := Load(Param("open"), GP64()), Load(Param("starts").Base(), GP64())
	sums, weights := Load(Param("sums").Base(), GP64()), Load(Param("weights").Base(), GP64())
	stride := Load(Param("weights").Len(), GP64()) // a quarter of the length, four bytes each
	TESTQ(open, open)
	JZ(LabelRef("done"))
	Label("cell")
	s, from, to := GP64(), GP64(), GP64()
	TZCNTQ(open, s)
	BLSRQ(open, open)
	MOVLQSX(Mem{Base: starts, Index: s, Scale: 4}, from)
	MOVLQSX(Mem{Base: starts, Index: s, Scale: 4, Disp: 4}, to)
	var cell [4]VecVirtual
	for k := range cell {
		cell[k] = YMM()
		VPBROADCASTD(Mem{Base: sums, Index: s, Scale: 4, Disp: 4 * k}, cell[k])
	}
	CMPQ(from, to)
	JGE(LabelRef("next"))
	Label("eight")
	at, third := GP64(), GP64()
	LEAQ(Mem{Base: weights, Index: from, Scale: 4}, at)
	LEAQ(Mem{Base: at, Index: stride, Scale: 2}, third)
	four := func(disp int) GPVirtual {
		var sum VecVirtual
		for k, place := range []Mem{{Base: at, Disp: disp}, {Base: at, Index: stride, Scale: 1, Disp: disp},
			{Base: third, Disp: disp}, {Base: third, Index: stride, Scale: 1, Disp: disp}} {
			product := YMM()
			VPMOVSXDQ(place, product)
			VPMULDQ(cell[k], product, product)
			if k == 0 {
				sum = product
			} else {
				VPADDQ(product, sum, sum)
			}
		}
		bits := GP64()
		VMOVMSKPD(sum, bits.As32())
		return bits
	}
	ink, more := four(0), four(16)
	SHLL(Imm(4), more.As32())
	ORL(more.As32(), ink.As32())
	NOTL(ink.As32())
	left, eight := GP64(), GP64()
	MOVQ(to, left)
	SUBQ(from, left)
	MOVL(U32(8), eight.As32())
	CMPQ(left, eight)
	CMOVQGT(eight, left)
	BZHIL(left.As32(), ink.As32(), ink.As32())
	place, word, bits := GP64(), GP64(), GP64()
	LEAQ(Mem{Base: x0, Index: from, Scale: 1}, place)
	MOVQ(place, word)
	SHRQ(Imm(6), word)
	SHLXQ(place, ink, bits)
	ORQ(bits, Mem{Base: dst, Index: word, Scale: 8})
	ANDL(Imm(63), place.As32())
	ADDQ(place, left)
	CMPQ(left, Imm(64))
	JLE(LabelRef("whole"))
	NEGQ(place) // 64 less the place, as shifts take it
	SHRXQ(place, ink, ink)
	ORQ(ink, Mem{Base: dst, Index: word, Scale: 8, Disp: 8})
	Label("whole")
	ADDQ(Imm(8), from)
	CMPQ(from, to)
	JLT(LabelRef("eight"))
	Label("next")
	TESTQ(open, open)
	JNZ(LabelRef("cell"))
	Label("done")
	VZEROUPPER()
	RET()
}
