package artwork

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
)

// breaking is a stream that panics.
type breaking struct{}

func (breaking) Read([]byte) (int, error) { panic("a code of no tree") }

func TestAPanicOnEitherCoreOfAPNGIsTheFilesFault(t *testing.T) {
	const width, height = 500, 2000 // more bands than are under way at once
	rows := bytes.Repeat(make([]byte, 1+3*width), height)
	for name, row := range map[string]struct {
		stream io.Reader
		pixels int // room for the picture, in bytes
		stack  string
	}{
		"inflating": {breaking{}, 4 * width * height, "breaking"},
		"taking":    {bytes.NewReader(rows), 4 * width, "(*pngPicture).take"},
	} {
		t.Run(name, func(t *testing.T) {
			decoder := format{decode: func([]byte, Header) (*raw, error) {
				r := &raw{width: width, height: height, channels: 3, pix: make([]byte, row.pixels)}
				p := &pngPicture{raw: r, bytesPX: 3, last: make([]byte, 3*width)}
				t.Errorf("it was read: %v", p.read(row.stream))
				return r, nil
			}}
			_, err := guarded(decoder, nil, Header{})
			var met *cores.Panic
			if !fault.Is(err, fault.Invalid) || !errors.As(err, &met) || !strings.Contains(string(met.Stack), row.stack) {
				t.Fatalf("%v, %+v", err, met)
			}
		})
	}
}
