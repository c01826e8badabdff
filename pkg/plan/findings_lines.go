package plan

import (
	"fmt"
	"math"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/fabric"
	"tamis/pkg/tone"
)

// Least of a kind worth saying. Ours: rich art has slivers and specks where shapes overlap, which nobody misses; dust
// and dots come in hundreds. TestFindingsOnLines and TestTheDemoPicturesRaiseNoFalseAlarm hold them.
const (
	leastThinMM = 10.0 // of strokes or gaps, together
	leastSpecks = 20
	manySpecks  = 100 // of ink; counters of letters are missed sooner
)

// LineJudge knows which strokes, gaps and specks of the artwork the plan's screens hold. Not for concurrent use.
type LineJudge struct {
	plan  *Plan
	bares map[color.RGB8]bool
	plate map[color.RGB8]int
}

// Judge is a judge of the plan's lines.
func (p *Plan) Judge() *LineJudge {
	return &LineJudge{plan: p, bares: map[color.RGB8]bool{}, plate: map[color.RGB8]int{}}
}

// Verdict is what becomes of a line: on which plate (an index), whether as a gap between inks, the width in mm from
// which that plate holds it safely, and the width under which it is lost.
type Verdict struct {
	Plate          int
	Gap            bool
	SafeMM, LostMM float64
}

// Of judges a line or speck of a kind, of its colour, on a ground of some colour.
//
// A clear line, and one that shows as the garment, is a gap in the ink about it. A stroke is safe two threads and an
// opening wide (fabric.Mesh.SmallestDotUM) and lost under a thread and an opening: a line that falls on a thread has
// nothing beside it. A gap narrows by what its edges grow on film and press (tone.AssumedFilmGrowthUM, tone.AssumedPressGrowthUM): it is safe where a
// thread and an opening are left and lost where less than a thread is. Neither is finer than a pixel of the film. Ours.
func (j *LineJudge) Of(kind artwork.LineKind, rgb, about color.RGB8) Verdict {
	v := Verdict{Gap: kind == artwork.ClearLine || j.bare(rgb)}
	if v.Gap {
		rgb = about
	}
	v.Plate = j.plateOf(rgb)
	mesh := j.plan.Doc.Plates[v.Plate].Mesh
	trade := fabric.Mesh{ThreadsPerCM: mesh.ThreadsPerCM, ThreadUM: mesh.ThreadUM}
	safeUM, lostUM := trade.SmallestDotUM(), trade.PitchUM()
	if v.Gap {
		growthUM := 2 * (tone.AssumedFilmGrowthUM + tone.AssumedPressGrowthUM)
		safeUM, lostUM = trade.PitchUM()+growthUM, trade.ThreadUM+growthUM
	}
	pixelUM := 25400 / math.Min(j.plan.Doc.Film.XDPI, j.plan.Doc.Film.YDPI)
	v.SafeMM, v.LostMM = math.Max(safeUM, pixelUM)/1000, math.Max(lostUM, pixelUM)/1000
	return v
}

func (j *LineJudge) bare(rgb color.RGB8) bool {
	is, ok := j.bares[rgb]
	if !ok {
		is = j.plan.bare(rgb)
		j.bares[rgb] = is
	}
	return is
}

// plateOf is the plate whose ink is nearest to a colour; of equals the one printed last.
func (j *LineJudge) plateOf(rgb color.RGB8) int {
	if at, ok := j.plate[rgb]; ok {
		return at
	}
	at, best := 0, math.Inf(1)
	for i, p := range j.plan.Recipe.Plates {
		if off := color.DeltaE00(rgb.Lab(), p.Ink.OverWhite); off <= best {
			at, best = i, off
		}
	}
	j.plate[rgb] = at
	return at
}

// thin gathers what one plate does not hold safely of one sort: where, how much of it in mm and in number, how much of
// that is lost, and the thinnest.
type thin struct {
	cells            map[int]bool
	lengthMM, lostMM float64
	count, lost      int
	thinnestMM       float64
	safeMM           float64
}

func (t *thin) take(cell int, widthMM, lengthMM float64, count int, v Verdict) {
	if widthMM == 0 || widthMM >= v.SafeMM {
		return
	}
	if t.cells == nil {
		t.cells, t.thinnestMM = map[int]bool{}, widthMM
	}
	t.cells[cell] = true
	t.thinnestMM, t.safeMM = math.Min(t.thinnestMM, widthMM), v.SafeMM
	t.lengthMM, t.count = t.lengthMM+lengthMM, t.count+count
	if widthMM < v.LostMM {
		t.lostMM, t.lost = t.lostMM+lengthMM, t.lost+count
	}
}

// enough tells whether there is so much that it should be said; severity is a warning where as much of it is lost, or
// many specks are.
func (t *thin) enough(many int) (severity artwork.Severity, ok bool) {
	if t.lostMM >= leastThinMM || t.lost >= many {
		return artwork.Warning, true
	}
	return artwork.Info, t.lengthMM >= leastThinMM || t.count >= leastSpecks
}

// lineFindings says which strokes get lost, which gaps close up and how many specks fall through, plate by plate.
func (d *draft) lineFindings() error {
	n := len(d.Doc.Plates)
	strokes, gaps, specks := make([]thin, n), make([]thin, n), make([]thin, n)
	o, judge, px := &d.Input.Inspection.Overview, d.Judge(), d.pixelMM()
	for cell := range o.Cells() {
		about, _ := o.MeanColor(cell)
		for kind := range artwork.LineKinds {
			l := o.Line(cell, kind)
			if l.WidthPX == 0 && l.Specks == 0 {
				continue
			}
			v := judge.Of(kind, l.Color, about)
			lines, dots := &strokes[v.Plate], &specks[v.Plate]
			if v.Gap {
				lines, dots = &gaps[v.Plate], &gaps[v.Plate]
			}
			lines.take(cell, l.WidthPX*px, l.LengthPX*px, 0, v)
			dots.take(cell, l.SpeckPX*px, 0, l.Specks, v)
		}
	}
	for i := range n {
		d.sayStrokes(i, &strokes[i])
		d.sayGaps(i, &gaps[i])
		d.saySpecks(i, &specks[i])
	}
	return nil
}

func (d *draft) sayStrokes(plate int, t *thin) {
	p := d.Doc.Plates[plate]
	d.sayThin(p, "thin_strokes", t, fmt.Sprintf(
		"plate %d, %s: some %.0f mm of strokes are thinner than %.2f mm, down to %.2f mm: %g threads/cm may not hold them",
		p.N, p.Ink.Name, t.lengthMM, t.safeMM, t.thinnestMM, p.Mesh.ThreadsPerCM), fmt.Sprintf(
		"make them %.2f mm or thicker%s; thin.png of a job shows where", t.safeMM,
		d.finer(p.Mesh.ThreadsPerCM, t.thinnestMM)))
}

func (d *draft) sayGaps(plate int, t *thin) {
	p := d.Doc.Plates[plate]
	d.sayThin(p, "gaps_close", t, fmt.Sprintf(
		"plate %d, %s: gaps and counters down to %.2f mm may close up: under %.2f mm ink runs together on %g threads/cm",
		p.N, p.Ink.Name, t.thinnestMM, t.safeMM, p.Mesh.ThreadsPerCM), fmt.Sprintf(
		"open them to %.2f mm or more, or set lettering larger; thin.png of a job shows where", t.safeMM))
}

func (d *draft) saySpecks(plate int, t *thin) {
	p := d.Doc.Plates[plate]
	d.sayThin(p, "tiny_specks", t, fmt.Sprintf(
		"plate %d, %s: %d specks are smaller than %.2f mm, the smallest dot %g threads/cm carry safely", p.N, p.Ink.Name,
		t.count, t.safeMM, p.Mesh.ThreadsPerCM),
		"clean the artwork of specks, or make them larger; thin.png of a job shows where")
}

func (d *draft) sayThin(p Plate, code string, t *thin, message, remedy string) {
	many := leastSpecks
	if code == "tiny_specks" {
		many = manySpecks
	}
	severity, ok := t.enough(many)
	if !ok {
		return
	}
	d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: code, Severity: string(severity), Message: message,
		Remedy: remedy, Plate: p.N, BoxesMM: d.cells(func(cell int) bool { return t.cells[cell] })})
}

// finer names the coarsest mesh of the shop that holds a width and is finer than the plate's.
func (d *draft) finer(threadsPerCM, widthMM float64) string {
	best := math.Inf(1)
	for _, m := range d.Input.Shop.Meshes.Trade() {
		if m.ThreadsPerCM > threadsPerCM && m.SmallestDotUM() <= widthMM*1000 && m.ThreadsPerCM < best {
			best = m.ThreadsPerCM
		}
	}
	if math.IsInf(best, 1) {
		return ""
	}
	return fmt.Sprintf(", or put the plate on %g threads/cm", best)
}
