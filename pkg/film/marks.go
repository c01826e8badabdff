package film

import "tamis/pkg/raster"

// stamp is a small bitmap at its place on the page, before mirroring.
type stamp struct {
	x, y int
	bits *raster.Bitmap
}

// onto lays what the stamp has in film row y over the row.
func (s *stamp) onto(row []uint64, y int) {
	if y >= s.y && y < s.y+s.bits.Height {
		raster.OrBits(row, s.bits.Row(y-s.y), s.x)
	}
}

// fields are the places of what differs from plate to plate.
type fields struct{}

// drawMarks draws what is the same on every film of the job.
func (l *Layout) drawMarks() {}

// stamps gives every mark of one plate's film.
func (l *Layout) stamps(p Plate) []stamp { return l.marks }
