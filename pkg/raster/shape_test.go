package raster

import "testing"

// halfAndHalf is a shape whose left half, 10.5 px of 20, is label 1, the rest label 0.
func halfAndHalf() *Shape {
	g := NewRegions(20, 8)
	for i := range g.A {
		switch x := i % 20; {
		case x < 10:
			g.A[i], g.B[i] = 1, 1
		case x == 10:
			g.A[i], g.B[i], g.Share[i] = 1, 0, 128
		}
	}
	return &Shape{Regions: g, Own: 1 << 1}
}

func TestTonesGoOnPastTheShapeUndilutedByItsEdge(t *testing.T) {
	s, p := halfAndHalf(), NewPlane(20, 8)
	for i := range p.Pix {
		p.Pix[i] = uint8(int(s.Regions.Of(i, s.Own)) * 100 / 255) // a tone of 100, thinned by the edge
	}
	for i, v := range s.Tones(p).Pix {
		x, want := i%20, uint8(0)
		if x <= 12 { // the edge's own pixel and two more
			want = 100
		}
		if v > want || v+1 < want {
			t.Fatalf("column %d: tone %d, want %d", x, v, want)
		}
	}
}

func TestAShapeTurnsWithItsRegions(t *testing.T) {
	s := halfAndHalf()
	turned := s.TurnLeft()
	if turned.Own != s.Own || turned.Regions.Width != 8 || turned.Regions.Height != 20 {
		t.Fatalf("turned to %d x %d", turned.Regions.Width, turned.Regions.Height)
	}
	if turned.Regions.Of(0, s.Own) != 0 || turned.Regions.Of(19*8, s.Own) != 255 {
		t.Error("the left half does not lie at the foot")
	}
}
