package separate

// diffusion carries the shares not yet printed to pixels still to come, in 1/16 of 1/255.
//
// Source: R. W. Floyd, L. Steinberg, Proc. SID 17 (1976), for the weights 7, 3, 5, 1; Ours: what is diffused is the
// vector of shares, the pixel taking the colour that is owed most, so the error cannot run away however far the
// colours lie apart.
type diffusion struct {
	colors    int
	now, next []int32 // owed to the pixels of this row and the next, [pixel+1][color]
}

func newDiffusion(colors, width int) *diffusion {
	n := (width + 2) * colors
	return &diffusion{colors: colors, now: make([]int32, n), next: make([]int32, n)}
}

func (f *diffusion) nextRow() {
	f.now, f.next = f.next, f.now
	clear(f.next)
}

func (f *diffusion) at(row []int32, x int) []int32 { return row[(x+1)*f.colors : (x+2)*f.colors] }

// skip forgets what a transparent pixel is owed.
func (f *diffusion) skip(x int) { clear(f.at(f.now, x)) }

// pick chooses the colour of pixel x; ahead is +1 or -1, the way the row is worked.
func (f *diffusion) pick(share []uint8, x, ahead int) int {
	owed := f.at(f.now, x)
	best := 0
	for k, s := range share {
		owed[k] += 16 * int32(s)
		if owed[k] > owed[best] {
			best = k
		}
	}
	owed[best] -= 16 * 255
	a, b, c, d := f.at(f.now, x+ahead), f.at(f.next, x-ahead), f.at(f.next, x), f.at(f.next, x+ahead)
	for k, e := range owed {
		to3, to5, to1 := e*3/16, e*5/16, e/16
		a[k] += e - to3 - to5 - to1
		b[k] += to3
		c[k] += to5
		d[k] += to1
	}
	return best
}
