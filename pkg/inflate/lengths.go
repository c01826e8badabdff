package inflate

const (
	maxSymbols   = 286 // of literals and lengths that may have a code
	maxDistances = 30
	maxBits      = 15 // of a code
)

// codeLengths reads how long the codes of a block are, and makes its tables.
//
// Source: RFC 1951, 3.2.7.
func (d *Decoder) codeLengths() error {
	order := [...]uint8{16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15}
	if err := d.ensure(); err != nil {
		return err
	}
	d.refill()
	symbols, distances, n := int(d.take(5))+257, int(d.take(5))+1, int(d.take(4))+4
	if symbols > maxSymbols || distances > maxDistances {
		return errLengths
	}
	var lengths [maxSymbols + maxDistances]uint8
	for _, symbol := range order[:n] {
		if d.count&63 < 3 {
			d.refill()
		}
		lengths[symbol] = uint8(d.take(3))
	}
	t := d.dynamic
	if !t.buildLengths(lengths[:len(order)]) {
		return errLengths
	}
	clear(lengths[:len(order)])
	if err := d.lengthsOf(lengths[:symbols+distances]); err != nil {
		return err
	}
	if !t.build(lengths[:symbols], lengths[symbols:symbols+distances]) {
		return errLengths
	}
	return nil
}

// lengthsOf reads code lengths, which are coded by the table of lengths: as they are, or as runs.
func (d *Decoder) lengthsOf(lengths []uint8) error {
	for i := 0; i < len(lengths); {
		if err := d.ensure(); err != nil {
			return err
		}
		d.refill()
		e := d.dynamic.lengths[d.bits&(1<<lengthBits-1)]
		if e == 0 {
			return errCode
		}
		d.take(uint64(e & 7))
		symbol := e >> 3
		if symbol < 16 {
			lengths[i] = symbol
			i++
			continue
		}
		run, value := 0, uint8(0)
		switch symbol {
		case 16:
			if i == 0 {
				return errLengths
			}
			run, value = 3+int(d.take(2)), lengths[i-1]
		case 17:
			run = 3 + int(d.take(3))
		case 18:
			run = 11 + int(d.take(7))
		}
		if run > len(lengths)-i {
			return errLengths
		}
		for j := range run {
			lengths[i+j] = value
		}
		i += run
	}
	return nil
}
