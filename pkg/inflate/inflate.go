// Package inflate unpacks zlib streams (RFC 1950) of deflate blocks (RFC 1951): the pixels of a PNG.
//
// In goes a stream in as many parts as it came in; out come bands of the caller's size, each with room before and after
// its bytes, so that what is unpacked is its own window and is copied nowhere. The parts are read, never kept or changed;
// a band that was filled is the caller's, so that one core can unpack while another works on what came before.
//
// Every stream that compress/zlib takes is taken, with the same bytes, and every one that it refuses is refused: the tests
// hold both side by side on damaged streams. There are no preset dictionaries, and what follows a stream's end is not
// looked at. It knows nothing of pictures.
package inflate

import (
	"encoding/binary"
	"errors"
	"hash/adler32"
	"io"
)

// Decoder unpacks one stream. Make it by New; for one goroutine.
type Decoder struct {
	input
	state   state
	final   bool    // the block at hand is the last
	dynamic *tables // of the block at hand, where it has its own
	fixed   *tables // nil until a block asks for them
	codes   *tables // one of them
	stored  int     // bytes left of a stored block
	sum     uint32  // Adler-32 of all that was unpacked
	tail    []byte  // the last bytes unpacked: history of the next band, then what it begins with
	early   int     // how many of tail's bytes belong to the next band
	err     error
}

// state is what comes next in the stream.
type state int

const (
	atStream state = iota // the stream's header
	atBlock               // a block's header
	inStored
	inCodes
	atSum // the check sum after the last block
	atEnd
)

// The reasons for not taking a stream.
var (
	errCut     = errors.New("inflate: the stream is cut short")
	errHeader  = errors.New("inflate: not a zlib stream, or one that needs a dictionary")
	errBlock   = errors.New("inflate: a block of no known kind")
	errStored  = errors.New("inflate: a stored block's length is not confirmed")
	errLengths = errors.New("inflate: code lengths that make no code")
	errCode    = errors.New("inflate: a code that stands for nothing")
	errFar     = errors.New("inflate: a copy from before the beginning")
	errSum     = errors.New("inflate: the check sum is another")
)

// New begins a stream. The parts, of any sizes, are those bytes one after another; they must stay as they are until the
// last band is filled.
func New(parts [][]byte) *Decoder {
	return &Decoder{input: input{parts: parts}, dynamic: new(tables), sum: 1, tail: make([]byte, 0, window+slack)}
}

// Next fills the band: wholly, or with what is left of the stream. It gives io.EOF, and no bytes, after all of them and
// when the check sum after them is right; any other error means a damaged stream, of which nothing should be used. An
// error stays.
func (d *Decoder) Next(b *Band) error {
	b.Bytes = nil
	if d.err != nil {
		return d.err
	}
	from, end := b.begin(d)
	at, err := d.unpack(b.room, from, end)
	if err == nil {
		d.sum = adler(d.sum, b.room[from:at])
		err = d.checkSum()
	}
	if err != nil {
		d.err = err
		return err
	}
	b.finish(d, at, end)
	if len(b.Bytes) == 0 && d.state == atEnd {
		d.err = io.EOF
	}
	return d.err
}

// unpack writes from at on until end is reached or the last block ended, and tells where it stopped: up to slack past end.
func (d *Decoder) unpack(room []byte, at, end int) (int, error) {
	first := max(0, window-len(d.tail)+d.early) // where the room's history begins
	for at < end && d.state < atSum {
		err := d.ensure()
		if err != nil {
			return at, err
		}
		switch d.state {
		case atStream:
			err = d.streamHeader()
		case atBlock:
			err = d.blockHeader()
		case inStored:
			at, err = d.copyStored(room, at, end)
		case inCodes:
			at, err = d.symbols(room, at, end, first)
		}
		if err == nil && d.overran() {
			err = errCut
		}
		if err != nil {
			return at, err
		}
	}
	return at, nil
}

// streamHeader reads the two bytes before the first block. A dictionary may be asked for where it is the empty one, as
// compress/zlib has it.
//
// Source: RFC 1950, 2.2.
func (d *Decoder) streamHeader() error {
	const (
		deflate    = 8
		hasDict    = 0x20
		maxWindow  = 7
		checkEvery = 31
	)
	d.refill()
	method, flags := d.take(8), d.take(8)
	if method&15 != deflate || method>>4 > maxWindow || (method<<8|flags)%checkEvery != 0 {
		return errHeader
	}
	if flags&hasDict != 0 {
		var id [4]byte
		for i := range id {
			id[i] = byte(d.take(8))
		}
		if binary.BigEndian.Uint32(id[:]) != adler32.Checksum(nil) {
			return errHeader
		}
	}
	d.state = atBlock
	return nil
}

// checkSum compares the check sum once all blocks are unpacked.
func (d *Decoder) checkSum() error {
	if d.state != atSum {
		return nil
	}
	d.align()
	if err := d.ensure(); err != nil {
		return err
	}
	d.refill()
	var sum [4]byte
	for i := range sum {
		sum[i] = byte(d.take(8))
	}
	d.state = atEnd
	switch {
	case d.overran():
		return errCut
	case binary.BigEndian.Uint32(sum[:]) != d.sum:
		return errSum
	}
	return nil
}
