package artwork

import (
	"bytes"
	"encoding/binary"
	"image/jpeg"
	"sort"

	"tamis/pkg/fault"
)

// maxScans bounds a progressive JPEG: every scan costs a pass over all pixels, and a few bytes make one. Encoders
// write 10; the test for hostile files notices.
const maxScans = 64

// segment is one JPEG marker segment: the marker's second byte and the body.
type segment struct {
	marker byte
	body   []byte
}

// segments lists the segments before the first scan, as far as the file is whole.
func segments(data []byte) []segment {
	var list []segment
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker := data[at+1]
		if marker == 0xff { // fill byte
			at++
			continue
		}
		size := int(binary.BigEndian.Uint16(data[at+2:]))
		if size < 2 || at+2+size > len(data) || marker == 0xda {
			break
		}
		list = append(list, segment{marker, data[at+4 : at+2+size]})
		at += 2 + size
	}
	return list
}

// jpegHeader reads the frame header and the resolution that JFIF or EXIF names.
func jpegHeader(data []byte) (Header, error) {
	var h Header
	for _, s := range segments(data) {
		switch {
		case isFrame(s.marker) && len(s.body) >= 6:
			h.Height, h.Width = int(
				binary.BigEndian.Uint16(s.body[1:]),
			), int(
				binary.BigEndian.Uint16(s.body[3:]),
			)
		case s.marker == 0xe0 && h.PPI == 0:
			h.PPI = jfifPPI(s.body)
		case s.marker == 0xe1 && bytes.HasPrefix(s.body, []byte("Exif\x00\x00")) && h.PPI == 0:
			h.PPI = exifPPI(s.body[6:])
		}
	}
	if h.Width == 0 && h.Height == 0 {
		return h, broken("the JPEG has no frame header", nil)
	}
	if n := bytes.Count(data, []byte{0xff, 0xda}); n > maxScans {
		return h, fault.Newf(fault.TooLarge, "", "artwork_too_many_scans",
			"the JPEG has %d scans; the limit is %d", n, maxScans)
	}
	return h, nil
}

// isFrame tells SOF0..SOF15 without the three that share their range (DHT, JPG, DAC).
func isFrame(marker byte) bool {
	return marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc
}

// jfifPPI reads the density of a JFIF header: unit 1 per inch, 2 per cm.
func jfifPPI(body []byte) float64 {
	if len(body) < 12 || string(body[:5]) != "JFIF\x00" {
		return 0
	}
	x := float64(binary.BigEndian.Uint16(body[8:]))
	switch body[7] {
	case 1:
		return x
	case 2:
		return x * 2.54
	}
	return 0
}

func decodeJPEG(data []byte, _ Header) (*raw, error) {
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, broken("JPEG", err)
	}
	r := fromImage(img)
	list := segments(data)
	r.icc = jpegProfile(list)
	for _, s := range list {
		if s.marker == 0xe1 && bytes.HasPrefix(s.body, []byte("Exif\x00\x00")) && r.orientation == 0 {
			r.orientation = exifOrientation(s.body[6:])
		}
	}
	return r, nil
}

// jpegProfile joins the ICC chunks of APP2 by their numbers. Source: ICC.1:2010, annex B.4.
func jpegProfile(list []segment) []byte {
	var chunks [][]byte
	for _, s := range list {
		if s.marker == 0xe2 && bytes.HasPrefix(s.body, []byte("ICC_PROFILE\x00")) && len(s.body) > 14 {
			chunks = append(chunks, s.body[12:])
		}
	}
	sort.SliceStable(chunks, func(i, j int) bool { return chunks[i][0] < chunks[j][0] })
	var profile []byte
	for _, c := range chunks {
		profile = append(profile, c[2:]...)
	}
	return profile
}
