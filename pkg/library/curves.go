package library

import (
	"context"
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/ink"
	"tamis/pkg/plan"
	"tamis/pkg/store"
	"tamis/pkg/tone"
)

// Reading is one patch of a control strip as read: a density or an effective area, never both.
type Reading struct {
	Tone    *float64 `json:"tone" example:"0.5"`
	Density *float64 `json:"density,omitempty" example:"0.36"`
	Area    *float64 `json:"area,omitempty"`
}

// Readings is a control strip as read, of a film device or of a press. N is the Yule-Nielsen factor; not given it is
// that of the print model, 1.5, for a press and 1 for a film. FilmCurveID names the curve of the device that made the film of a press's strip: the film's gain is taken out of the
// press's; without it the tones are taken as those on the film. ReadAt is what the strip was screened at: plans warn where
// a plate is screened otherwise.
type Readings struct {
	Name        string    `json:"name" example:"Roll printer, new ink"`
	Kind        string    `json:"kind" enums:"film,press"`
	Patches     []Reading `json:"patches"`
	N           *float64  `json:"n,omitempty" example:"1.7"`
	FilmCurveID string    `json:"film_curve_id,omitempty"`

	ReadAt plan.ReadAt `json:"read_at,omitzero"`
}

// Calibration is a stored tone curve: what was read, and what follows. Curve is pairs [tone asked for, area made], TVI50
// what is added at 0.5, Noise how far readings scatter about a smooth curve (a standard deviation), all of them areas,
// 0..1. Monotone tells that no reading fell below a lighter tone's; Warnings what makes the curve doubtful.
type Calibration struct {
	ID          string       `json:"id" example:"cal_0123456789abcdef0123456789abcdef"`
	Name        string       `json:"name"`
	Kind        string       `json:"kind" enums:"film,press"`
	Patches     []Reading    `json:"patches"`
	N           float64      `json:"n"`
	FilmCurveID string       `json:"film_curve_id,omitempty"`
	Curve       [][2]float64 `json:"curve"`
	TVI50       float64      `json:"tvi_50" example:"0.12"`
	Monotone    bool         `json:"monotone"`
	Noise       float64      `json:"noise" example:"0.004"`

	ReadAt   plan.ReadAt    `json:"read_at,omitzero"`
	Warnings []CurveWarning `json:"warnings,omitempty"`
}

// CurveWarning is something to know before a curve is used; every plan that uses it says it too.
type CurveWarning struct {
	Code     string `json:"code" example:"noisy_curve"`
	Severity string `json:"severity" enums:"warning"`
	Message  string `json:"message"`
}

const (
	filmKind, pressKind = "film", "press"

	curveSteps     = 100 // of a stored curve: one percent each, which keeps what was measured to a thousandth
	maxCurveName   = 100
	maxCalibration = 1 << 20
	calibrationExt = ".json"
)

var calibrationForm = regexp.MustCompile(`^cal_[0-9a-f]{32}$`)

// IsCalibrationID tells whether id has the form of a calibration's.
func IsCalibrationID(id string) bool { return calibrationForm.MatchString(id) }

func calibrationPrefix(s ShopID) string { return prefix(s) + "calibrations/" }

func calibrationKey(s ShopID, id string) string { return calibrationPrefix(s) + id + calibrationExt }

// SaveCalibration makes the curve of a strip and keeps it under the hash of its content. created is false when the shop
// holds the same already. Every reading that cannot be is fault.Invalid at its own field.
func (l *Library) SaveCalibration(ctx context.Context, shop ShopID, r Readings) (c Calibration, created bool,
	err error) {
	strip, err := r.strip()
	if err != nil {
		return c, false, err
	}
	if r.FilmCurveID != "" {
		film, err := l.Calibration(ctx, shop, r.FilmCurveID)
		if fault.Is(err, fault.NotFound) || (err == nil && film.Kind != filmKind) {
			return c, false, fault.Invalidf("/film_curve_id", "unknown_curve", "there is no film curve %.60q here", r.FilmCurveID)
		}
		if err != nil {
			return c, false, err
		}
		if strip.Film, err = film.Tone(); err != nil {
			return c, false, err
		}
	}
	m, err := tone.Measure(strip)
	if err != nil {
		return c, false, err
	}
	c = calibrationOf(r, strip.N, m)
	data, err := json.Marshal(c)
	if err != nil {
		return c, false, err
	}
	created, err = l.putOnce(ctx, calibrationKey(shop, c.ID), data, "application/json")
	return c, created, err
}

// strip checks the form of readings and gives them as the trade has them.
func (r Readings) strip() (tone.Strip, error) {
	var c fault.Checker
	if strings.TrimSpace(r.Name) == "" {
		c.Addf("/name", "missing", "a name is wanted: which device, which press")
	}
	c.Text("/name", r.Name, maxCurveName)
	c.OneOf("/kind", r.Kind, filmKind, pressKind)
	if r.FilmCurveID != "" && r.Kind == filmKind {
		c.Addf("/film_curve_id", "film_curve_unused", "a film's own curve takes none; it goes with a press")
	}
	s := tone.Strip{N: usualN(r.Kind), Densities: len(r.Patches) > 0 && r.Patches[0].Density != nil}
	if r.N != nil {
		s.N = *r.N
		c.Between("/n", s.N, 1, 4, "")
	}
	checkReadAt(&c, r.ReadAt)
	for i, p := range r.Patches {
		field := "/patches/" + strconv.Itoa(i)
		read := p.Area
		if s.Densities {
			read = p.Density
		}
		switch {
		case p.Tone == nil:
			c.Addf(field+"/tone", "missing", "a tone is wanted, 0 to 1")
		case read == nil || (p.Density != nil && p.Area != nil):
			c.Addf(field, "density_or_area", "one density on every patch, or one area on every patch, is wanted")
		default:
			s.Patches = append(s.Patches, tone.Patch{Tone: *p.Tone, Read: *read})
		}
	}
	return s, c.Err()
}

// checkReadAt looks at what a strip is said to have been screened at.
func checkReadAt(c *fault.Checker, at plan.ReadAt) {
	if at.Kind != "" {
		c.OneOf("/read_at/kind", at.Kind, string(halftone.AM), string(halftone.FM), string(halftone.Hybrid))
	}
	c.Optional("/read_at/lpi", at.LPI, 5, 300, " lpi")
	c.Optional("/read_at/dot_um", at.DotUM, 5, 2000, " um")
	c.Optional("/read_at/threads_per_cm", at.ThreadsPerCM, 5, 200, " threads/cm")
	if at.Kind == string(halftone.FM) && at.LPI != nil {
		c.Addf("/read_at/lpi", "not_here", "an fm screen has no ruling; its dot_um says how fine it is")
	}
}

// usualN is the Yule-Nielsen factor of readings that name none: on a print the light spreads between the dots, which the
// print model knows of, so it must not count as dot growth too; a film is looked through.
func usualN(kind string) float64 {
	if kind == pressKind {
		return ink.Gain
	}
	return 1
}

func calibrationOf(r Readings, n float64, m tone.Measured) Calibration {
	c := Calibration{Name: r.Name, Kind: r.Kind, Patches: r.Patches, N: n, FilmCurveID: r.FilmCurveID,
		Curve: m.Curve.Points(curveSteps), TVI50: fifthPlace(m.Curve.At(0.5) - 0.5), Monotone: m.Monotone,
		Noise: fifthPlace(m.NoiseArea), ReadAt: r.ReadAt}
	if m.Noisy {
		c.Warnings = []CurveWarning{{plan.NoisyCurve, string(artwork.Warning), plan.NoisyMessage("this strip", c.Noise)}}
	}
	for i := range c.Curve {
		c.Curve[i][1] = fifthPlace(c.Curve[i][1])
	}
	data, err := json.Marshal(c)
	if err != nil {
		panic("library: " + err.Error()) // finite numbers by construction
	}
	c.ID = "cal_" + sumHex(data)[:32]
	return c
}

// fifthPlace rounds to what a 16-bit tone can hold, so that a document reads well.
func fifthPlace(x float64) float64 { return math.Round(x*1e5) / 1e5 }

// noisy tells whether the curve carries the warning that its readings are.
func (c Calibration) noisy() bool {
	return slices.ContainsFunc(c.Warnings, func(w CurveWarning) bool { return w.Code == plan.NoisyCurve })
}

// Tone gives the curve a calibration holds: tone asked for -> area made.
func (c Calibration) Tone() (tone.Curve, error) { return tone.FromPoints(c.Curve) }

// Calibration finds a calibration of the shop; fault.NotFound for any other id.
func (l *Library) Calibration(ctx context.Context, shop ShopID, id string) (c Calibration, err error) {
	if !IsCalibrationID(id) {
		return c, notFound("calibration", id)
	}
	data, _, err := store.ReadAll(ctx, l.store, calibrationKey(shop, id), maxCalibration)
	if fault.Is(err, fault.NotFound) {
		return c, notFound("calibration", id)
	}
	if err == nil {
		err = json.Unmarshal(data, &c)
	}
	return c, err
}

// Calibrations gives up to limit calibrations of the shop whose ids follow after, in order of ids, and whether there are
// more.
func (l *Library) Calibrations(ctx context.Context, shop ShopID, after string, limit int) (page []Calibration,
	more bool, err error) {
	start := ""
	if after != "" {
		start = calibrationKey(shop, after)
	}
	infos, err := l.store.List(ctx, calibrationPrefix(shop), start, limit+1)
	if err != nil {
		return nil, false, err
	}
	if more = len(infos) > limit; more {
		infos = infos[:limit]
	}
	for _, info := range infos {
		id := strings.TrimSuffix(strings.TrimPrefix(info.Key, calibrationPrefix(shop)), calibrationExt)
		c, err := l.Calibration(ctx, shop, id)
		if err != nil {
			return nil, false, err
		}
		page = append(page, c)
	}
	return page, more, nil
}
