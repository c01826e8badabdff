package film

import (
	"strings"
	"testing"

	"tamis/pkg/cores"
	"tamis/pkg/raster"
)

func TestAPanicInABandIsRaisedByWrite(t *testing.T) {
	l := mustLay(t, small())
	for _, p := range plates(t, l) {
		whole := p.Plane
		half := len(whole.Pix) / 2
		p.Plane = &raster.Plane{Width: whole.Width, Height: whole.Height, Pix: whole.Pix[:half:half]}
		met := func() (met *cores.Panic) {
			defer func() { met = cores.PanicOf(recover()) }()
			_, err := l.Write(t.Context(), p, new(file), nil)
			t.Errorf("plate %d was written from half a plane: %v", p.N, err)
			return nil
		}()
		if met == nil || !strings.Contains(string(met.Stack), "(*line).work") {
			t.Errorf("plate %d: %+v", p.N, met)
		}
		p.Plane = whole
		mustWrite(t, l, p) // the layout and what it keeps are whole
	}
}
