package inflate

const (
	// window is how far back a copy reaches at the most (RFC 1951, 2).
	window = 32 << 10
	// slack is how far the loop may write past where it should stop: lookups of three literals and one copy, with what
	// the last store of eight adds.
	slack = maxLiterals*lookups + maxCopy + 3*8
)

// Band is room for some unpacked bytes. Make it by NewBand; it may be filled again and again.
type Band struct {
	Bytes []byte // what Next filled; eight bytes more can be read, so that words may be loaded up to its end
	room  []byte // window bytes of history, size of the band's own, slack
	size  int
}

// NewBand gives a band of size bytes, 1 or more.
func NewBand(size int) *Band { return &Band{size: size, room: make([]byte, window+size+slack)} }

// begin puts what was unpacked before into its place; the band's bytes go on at from and are wanted up to end.
func (b *Band) begin(d *Decoder) (from, end int) {
	from = window + d.early
	copy(b.room[from-len(d.tail):], d.tail)
	return from, window + b.size
}

// finish keeps what the next band needs of what was unpacked up to at.
func (b *Band) finish(d *Decoder, at, end int) {
	first := window + d.early - len(d.tail)
	end = min(end, at)
	b.Bytes = b.room[window : end : end+8]
	d.early = at - end
	d.tail = append(d.tail[:0], b.room[max(first, end-window):at]...)
}
