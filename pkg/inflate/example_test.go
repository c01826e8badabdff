package inflate_test

import (
	"errors"
	"fmt"
	"io"

	"tamis/pkg/inflate"
)

// A stream that came in two parts, unpacked ten bytes at a time.
func Example() {
	parts := [][]byte{
		[]byte("\x78\xda\xcb\xcc\xcb\x56\xc8\x2f\x4b"),
		[]byte("\x2d\x52\xc8\xc4\xc6\x00\x00\xaa\x64\x0a\xfd"),
	}
	d, band := inflate.New(parts), inflate.NewBand(10)
	for {
		err := d.Next(band)
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%q\n", band.Bytes)
	}
	// Output:
	// "ink over i"
	// "nk over in"
	// "k over ink"
}
