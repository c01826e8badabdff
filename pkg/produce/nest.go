package produce

import (
	"fmt"
	"math"

	"tamis/pkg/fault"
	"tamis/pkg/film"
	"tamis/pkg/nest"
	"tamis/pkg/order"
	"tamis/pkg/shop"
)

// NestMember is one film to be nested: a TIFF of a finished job.
type NestMember struct {
	Job  string
	Film Film
}

// NestInput is a nest's work: a complete order, the device it goes to, the films in order.
type NestInput struct {
	Nest     order.Nest
	Device   shop.Device
	Members  []NestMember
	SpoolDir string
	Report   func(done, total int, stage string)
}

// Nest is a nest's part of a result: its sheets, and where each film lies on them.
type Nest struct {
	Sheets     []NestSheet `json:"sheets"`
	Placements []Placement `json:"placements"`
	FilmAreaM2 float64     `json:"film_area_m2"`
	Filled     float64     `json:"filled"`
}

// NestSheet is one film that comes out of the device.
type NestSheet struct {
	Sheet    int     `json:"sheet"`
	Format   string  `json:"format"`
	File     string  `json:"file"`
	Bytes    int64   `json:"bytes"`
	SHA256   string  `json:"sha256"`
	WidthPX  int     `json:"width_px"`
	LengthPX int     `json:"length_px"`
	XDPI     float64 `json:"x_dpi"`
	YDPI     float64 `json:"y_dpi"`
	WidthMM  float64 `json:"width_mm"`
	LengthMM float64 `json:"length_mm"`
}

// Placement is where a film lies: the corner nearest the sheet's top left, and its size as it lies. A rotated one has
// its top at the sheet's left.
type Placement struct {
	Job      string  `json:"job"`
	Plate    int     `json:"plate"`
	Part     int     `json:"part,omitempty"`
	File     string  `json:"file"`
	Sheet    int     `json:"sheet"`
	XPX      int     `json:"x_px"`
	YPX      int     `json:"y_px"`
	XMM      float64 `json:"x_mm"`
	YMM      float64 `json:"y_mm"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
	Rotated  bool    `json:"rotated"`
}

// NestPlan is a nest before it is made.
type NestPlan struct {
	roll  nest.Roll
	films []nest.Size
	plan  nest.Plan
	perMM [2]float64
}

// cutLineMM is the width of a cut mark's line. Ours: the knife follows what the eye sees at arm's length.
const cutLineMM = 0.15

// PlanNest lays the films out. A film made for another device, or larger than this one, is fault.Invalid at /jobs.
func PlanNest(in NestInput) (*NestPlan, error) {
	d := in.Device.Film()
	p := &NestPlan{perMM: [2]float64{d.XDPI * d.ScaleX / 25.4, d.YDPI * d.ScaleY / 25.4}}
	for _, m := range in.Members {
		if err := p.fits(m, d); err != nil {
			return nil, err
		}
		p.films = append(p.films, nest.Size{Width: m.Film.WidthPX, Height: m.Film.HeightPX})
	}
	px := func(mm float64, axis int) int { return int(math.Ceil(mm*p.perMM[axis] - 1e-9)) }
	p.roll = nest.Roll{Width: int(d.WidthMM * d.XDPI / 25.4), MaxLength: int(d.MaxLengthMM * d.YDPI / 25.4),
		GapX: px(*in.Nest.GapMM, 0), GapY: px(*in.Nest.GapMM, 1), Turn: *in.Nest.Rotate && p.perMM[0] == p.perMM[1]}
	if *in.Nest.CutMarks {
		p.roll.EdgeX, p.roll.EdgeY = p.edges(px(*in.Nest.GapMM/2, 0), px(*in.Nest.GapMM/2, 1))
	}
	for i, f := range p.films {
		if m := in.Members[i]; !p.roll.Holds(f) {
			return nil, fault.Invalidf("/jobs", "nest_too_wide", "%s of %s is %.1f x %.1f mm; the device takes %g mm%s",
				m.Film.File, m.Job, m.Film.WidthMM, m.Film.HeightMM, in.Device.WidthMM, longest(in.Device))
		}
	}
	var err error
	p.plan, err = nest.Pack(p.roll, p.films)
	return p, err
}

// longest says how long a sheet is, of a device that takes sheets.
func longest(d shop.Device) string {
	if d.MaxLengthMM == 0 {
		return ""
	}
	return fmt.Sprintf(" by %g", d.MaxLengthMM)
}

// edges is the room for cut marks along the roll's edges: less, down to none, where a film takes all its width.
func (p *NestPlan) edges(x, y int) (int, int) {
	for _, f := range p.films {
		if p.roll.Turn && f.Width > p.roll.Width-2*x && f.Height <= p.roll.Width-2*x {
			continue // turned it has room
		}
		x = max(0, min(x, (p.roll.Width-f.Width)/2))
		if p.roll.MaxLength > 0 {
			y = max(0, min(y, (p.roll.MaxLength-f.Height)/2))
		}
	}
	return x, y
}

// fits says whether a film was made for this device: its pixels and its stretch are in it.
func (p *NestPlan) fits(m NestMember, d film.Device) error {
	const close = 2e-3 // mm, of the rounding of what a job states
	wide, high := float64(m.Film.WidthPX)/p.perMM[0], float64(m.Film.HeightPX)/p.perMM[1]
	if m.Film.XDPI == d.XDPI && m.Film.YDPI == d.YDPI && math.Abs(wide-m.Film.WidthMM) < close &&
		math.Abs(high-m.Film.HeightMM) < close {
		return nil
	}
	return fault.Invalidf("/jobs", "nest_device",
		"%s of %s was made for a device of %g x %g dpi and %.3f x %.3f mm of film; "+
			"on this one of %g x %g dpi it would be %.3f x %.3f mm",
		m.Film.File, m.Job, m.Film.XDPI, m.Film.YDPI, m.Film.WidthMM, m.Film.HeightMM, d.XDPI, d.YDPI, wide, high)
}

// Doc is the nest as a result states it, its files still to come.
func (p *NestPlan) Doc(members []NestMember) *Nest {
	doc := &Nest{Sheets: []NestSheet{}, Placements: []Placement{}}
	milli := func(px, axis int) float64 { return math.Round(float64(px)/p.perMM[axis]*1000) / 1000 }
	for i, m := range members {
		at, size := p.plan.Places[i], p.films[i]
		if at.Turned {
			size.Width, size.Height = size.Height, size.Width
		}
		doc.Placements = append(doc.Placements, Placement{Job: m.Job, Plate: m.Film.Plate, Part: m.Film.Part,
			File: m.Film.File, Sheet: at.Sheet + 1, XPX: at.X, YPX: at.Y, XMM: milli(at.X, 0), YMM: milli(at.Y, 1),
			WidthMM: milli(size.Width, 0), HeightMM: milli(size.Height, 1), Rotated: at.Turned})
	}
	area := float64(p.roll.Width) / p.perMM[0] * float64(p.plan.Length()) / p.perMM[1] / 1e6
	doc.FilmAreaM2 = math.Round(area*1e6) / 1e6
	doc.Filled = math.Round(p.plan.Filled(p.roll, p.films)*1e4) / 1e4
	return doc
}
