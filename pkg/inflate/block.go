package inflate

// blockHeader reads the header of a block of any kind.
//
// Source: RFC 1951, 3.2.3.
func (d *Decoder) blockHeader() error {
	d.refill()
	d.final = d.take(1) == 1
	switch d.take(2) {
	case 0:
		return d.storedHeader()
	case 1:
		if d.fixed == nil {
			d.fixed = fixedTables()
		}
		d.codes, d.state = d.fixed, inCodes
		return nil
	case 2:
		d.codes, d.state = d.dynamic, inCodes
		return d.codeLengths()
	}
	return errBlock
}

// blockEnd goes on after a block.
func (d *Decoder) blockEnd() {
	d.state = atBlock
	if d.final {
		d.state = atSum
	}
}

// storedHeader reads the length of a stored block, which stands there twice, once inverted.
//
// Source: RFC 1951, 3.2.4.
func (d *Decoder) storedHeader() error {
	d.align()
	d.refill()
	length, inverted := d.take(16), d.take(16)
	d.align()
	if length != inverted^0xffff {
		return errStored
	}
	d.stored, d.state = int(length), inStored
	if length == 0 {
		d.blockEnd()
	}
	return nil
}

// copyStored copies what there is of a stored block, up to end.
func (d *Decoder) copyStored(room []byte, at, end int) (int, error) {
	n := min(d.stored, end-at, d.input.end-d.pos)
	if n <= 0 && d.last {
		return at, errCut
	}
	copy(room[at:at+n], d.in[d.pos:])
	d.pos += n
	if d.stored -= n; d.stored == 0 {
		d.blockEnd()
	}
	return at + n, nil
}
