package artwork

import (
	"bytes"
	"compress/zlib"
	"errors"
	"strings"
	"testing"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/inflate"
)

// breaking is a stream that panics.
type breaking struct{}

func (breaking) Next(*inflate.Band) error { panic("a code of no tree") }

func TestAPanicOnEitherCoreOfAPNGIsTheFilesFault(t *testing.T) {
	const width, height = 500, 2000 // more bands than are under way at once
	var rows bytes.Buffer
	z := zlib.NewWriter(&rows)
	if _, err := z.Write(make([]byte, (1+3*width)*height)); err != nil {
		t.Fatal(err)
	}
	z.Close()
	for name, row := range map[string]struct {
		stream stream
		pixels int // room for the picture, in bytes
		stack  string
	}{
		"inflating": {breaking{}, 4 * width * height, "breaking"},
		"taking":    {inflate.New([][]byte{rows.Bytes()}), 4 * width, "(*pngPicture).take"},
	} {
		t.Run(name, func(t *testing.T) {
			decoder := format{decode: func([]byte, Header) (*raw, error) {
				r := &raw{width: width, height: height, channels: 3, pix: make([]byte, row.pixels)}
				p := &pngPicture{raw: r, packed: row.stream, bytesPX: 3, above: make([]byte, 4*width)}
				t.Errorf("it was read: %v", p.read())
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
