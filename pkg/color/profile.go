package color

import (
	"bytes"
	"encoding/binary"
	"fmt"
)

// CheckProfile checks that every table of the profile lies inside it, since the parser allocates by their numbers.
//
// Source: ISO 15076-1, 7.3 (tag table), 10.6 (curveType: count at byte 8).
func CheckProfile(data []byte) error {
	if len(data) < 132 || string(data[36:40]) != "acsp" {
		return fmt.Errorf("profile of %d bytes has no header", len(data))
	}
	n := uint64(binary.BigEndian.Uint32(data[128:]))
	if 132+12*n > uint64(len(data)) {
		return fmt.Errorf("profile lists %d tags in %d bytes", n, len(data))
	}
	for i := range n {
		e := data[132+12*i:]
		at, size := uint64(binary.BigEndian.Uint32(e[4:])), uint64(binary.BigEndian.Uint32(e[8:]))
		if at < 132+12*n || at+size > uint64(len(data)) {
			return fmt.Errorf("tag %d lies outside the profile", i)
		}
		if err := checkCurves(data[at : at+size]); err != nil {
			return fmt.Errorf("tag %d: %w", i, err)
		}
	}
	return nil
}

// checkCurves checks the lengths of a tag's sampled curves: its own, or those inside a multi-process tag.
func checkCurves(tag []byte) error {
	if !bytes.HasPrefix(tag, []byte("curv")) && !bytes.HasPrefix(tag, []byte("mAB ")) &&
		!bytes.HasPrefix(tag, []byte("mBA ")) {
		return nil
	}
	for at := bytes.Index(tag, []byte("curv")); at >= 0; {
		rest := tag[at:]
		if len(rest) >= 12 && 12+2*uint64(binary.BigEndian.Uint32(rest[8:])) > uint64(len(rest)) {
			return fmt.Errorf("a curve is longer than its tag")
		}
		next := bytes.Index(rest[4:], []byte("curv"))
		if next < 0 {
			return nil
		}
		at += 4 + next
	}
	return nil
}
