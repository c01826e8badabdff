// Package plan turns artwork, an order and a shop's documents into the whole print plan: method, plates in press order,
// mesh, ruling and angle, film page, flashes, ink, exposure and price. Quotes and jobs share it, so they cannot disagree.
//
// In go an inspection, a complete order and a snapshot; out comes a Plan, the same for the same input, on any machine.
// It decodes no pixels, makes no films and knows no storage: a quote is a plan alone, a job is a plan then produced.
// The chain is the list named steps: size, separation, film page, screens, meshes, press, price.
package plan

// Doc is the plan as callers see it.
type Doc struct {
	Method        string    `json:"method"`
	Screens       int       `json:"screens"`
	Match         Match     `json:"match"`
	Print         Size      `json:"print"`
	Plates        []Plate   `json:"plates"`
	FilmAreaM2    float64   `json:"film_area_m2"`
	Film          FilmPage  `json:"film"`
	Press         PressPlan `json:"press"`
	Register      Register  `json:"register"`
	Exposure      Exposure  `json:"exposure"`
	InkGramsPiece float64   `json:"ink_grams_per_print"`
	AssumedCurves bool      `json:"assumed_curves"`
	Warnings      []Warning `json:"warnings"`
}

// Match is the predicted colour difference of print and artwork over the printed area.
type Match struct {
	Mean float64 `json:"delta_e00_mean"`
	P95  float64 `json:"delta_e00_p95"`
}

// Size is the print on the garment, with the artwork's resolution there.
type Size struct {
	WidthMM      float64 `json:"width_mm"`
	HeightMM     float64 `json:"height_mm"`
	EffectivePPI float64 `json:"effective_ppi"`
}

// FilmPage is the page every film of the job has. Parts are the films each plate goes over where the print is split;
// the page is then that of a film wide enough for all of it.
type FilmPage struct {
	Device    string  `json:"device"`
	XDPI      float64 `json:"x_dpi"`
	YDPI      float64 `json:"y_dpi"`
	WidthPX   int     `json:"width_px"`
	HeightPX  int     `json:"height_px"`
	WidthMM   float64 `json:"width_mm"`
	HeightMM  float64 `json:"height_mm"`
	PrintBox  [4]int  `json:"print_box_px"`
	Rotated   bool    `json:"rotated"`
	LeakSteps float64 `json:"black_steps,omitempty"`

	Parts []FilmPart `json:"parts,omitempty"`
}

// FilmPart is one film of a split print. Shows is what of the whole print it shows, in device pixels of the print as it
// lies on the film.
type FilmPart struct {
	Part     int     `json:"part"`
	WidthPX  int     `json:"width_px"`
	HeightPX int     `json:"height_px"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
	PrintBox [4]int  `json:"print_box_px"`
	Shows    [4]int  `json:"shows_px"`
}

// PressPlan is how the job stands on the press. Runs is how many screens each run over it takes, in press order, where
// the stations do not hold them all at once.
type PressPlan struct {
	ID             string `json:"id"`
	Name           string `json:"name"`
	Stations       int    `json:"stations"`
	StationsNeeded int    `json:"stations_needed"`
	Flashes        int    `json:"flashes"`
	Runs           []int  `json:"runs,omitempty"`
}

// Exposure is what the plates' exposures assume: the emulsion and the lamp, where the shop names them, the wedge step that
// is hardened to and the clear density of the film it was found with. Assumes says all of it in a sentence.
type Exposure struct {
	Emulsion   string  `json:"emulsion,omitempty"`
	SolidsPct  float64 `json:"solids_pct,omitempty"`
	Coats      int     `json:"coats,omitempty"`
	Lamp       string  `json:"lamp,omitempty"`
	DistanceMM float64 `json:"distance_mm,omitempty"`
	TargetStep float64 `json:"target_step"`
	FilmDmin   float64 `json:"film_dmin"`
	Assumes    string  `json:"assumes"`
}

// Register is the register budget, in mm: what film device and press are known to be off, what two inks are expected to
// be off one another (the root of squares), the trap or choke that covers it, the trap the plates have, what may open
// where two inks butt, and the choke of an underbase under colours. Prints without butt joints are not trapped, those
// without such an underbase not choked: there these are 0 and have nothing to cover.
type Register struct {
	DeviceMM   float64 `json:"device_mm"`
	PressMM    float64 `json:"press_mm"`
	TotalMM    float64 `json:"total_mm"`
	CoverMM    float64 `json:"cover_mm"`
	ButtJoints bool    `json:"butt_joints"`
	TrapMM     float64 `json:"trap_mm"`
	GapMM      float64 `json:"gap_mm"`
	Based      bool    `json:"base_under_color"`
	ChokeMM    float64 `json:"choke_mm"`
	Covered    bool    `json:"covered"`
}

// Plate is one screen, in press order. Coverage is the share of the print that the ink is to cover; FilmCoverage what of
// the film is ink, and so of the stencil is open: less where dots grow on press. Ink is reckoned from the latter.
type Plate struct {
	N            int       `json:"n"`
	Ink          Ink       `json:"ink"`
	Role         string    `json:"role"`
	Rendering    string    `json:"rendering"`
	Coverage     float64   `json:"coverage"`
	FilmCoverage float64   `json:"film_coverage"`
	Mesh         Mesh      `json:"mesh"`
	Halftone     *Halftone `json:"halftone"`
	FlashAfter   bool      `json:"flash_after"`
	InkGrams     float64   `json:"ink_grams_per_print"`
	ExposureS    float64   `json:"exposure_s"`
	SqueegeeA    int       `json:"squeegee_shore_a"`
	OffContactMM float64   `json:"off_contact_mm"`
	Strokes      int       `json:"strokes"`
	Why          []string  `json:"why"`
}

// Ink names the plate's ink.
type Ink struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Hex  string `json:"hex"`
}

// Mesh is the fabric picked for the plate.
type Mesh struct {
	ThreadsPerCM float64 `json:"threads_per_cm"`
	ThreadUM     float64 `json:"thread_um"`
	TPI          float64 `json:"tpi"`
	OpeningUM    float64 `json:"opening_um"`
	InkVolume    float64 `json:"ink_volume_cm3_m2"`
	Color        string  `json:"color"`
}

// Halftone is the plate's screen: asked, and as the device's pixels let it be.
type Halftone struct {
	Kind           string  `json:"kind"`
	LPI            float64 `json:"lpi,omitempty"`
	AngleDeg       float64 `json:"angle_deg"`
	Dot            string  `json:"dot,omitempty"`
	DotUM          float64 `json:"dot_um,omitempty"`
	ActualDotUM    float64 `json:"actual_dot_um,omitempty"`
	ClusterUM      float64 `json:"cluster_um,omitempty"`
	ActualLPI      float64 `json:"actual_lpi,omitempty"`
	ActualAngleDeg float64 `json:"actual_angle_deg"`
	SmallestTone   float64 `json:"smallest_tone"`
	Beat           *Beat   `json:"moire,omitempty"`
	Texture        *Beat   `json:"texture,omitempty"`
}

// Beat is the most visible moire of the plate's halftone on its mesh, or, as a texture, with the dots of another plate:
// its period, its direction and the contrast an eye sees of it from a metre on, 0..1.
type Beat struct {
	Plate      int     `json:"plate,omitempty"`
	PeriodMM   float64 `json:"period_mm"`
	AngleDeg   float64 `json:"angle_deg"`
	Visibility float64 `json:"visibility"`
}

// Warning is something a person should know before printing. Plate is 0 where it concerns the whole job.
//
// BoxesMM are where, [x0, y0, x1, y1] in millimetres from the print's top left, largest first, at most 8; BoxMM is the
// one about all there are; both are absent from what has no place. Remedy is a sentence on what to do.
type Warning struct {
	Code     string       `json:"code"`
	Severity string       `json:"severity" enums:"info,warning,error"`
	Message  string       `json:"message"`
	Remedy   string       `json:"remedy,omitempty"`
	Plate    int          `json:"plate,omitempty"`
	BoxMM    [4]float64   `json:"box_mm,omitzero"`
	BoxesMM  [][4]float64 `json:"boxes_mm,omitempty"`
}

// Quote is the priced order. ID and ValidUntil are the caller's affair: they depend on when it was asked. Plan and Ladder
// are those of the first print; an order with a list of prints has them all in Prints. Warnings are of the order as a
// whole.
type Quote struct {
	ID       string  `json:"id,omitempty"`
	Plan     *Doc    `json:"plan,omitempty"`
	Currency string  `json:"currency"`
	Lines    []Line  `json:"lines"`
	Total    string  `json:"total"`
	PerPiece string  `json:"per_piece"`
	Breaks   []Break `json:"breaks"`
	Ladder   []Rung  `json:"ladder"`

	Prints     []PrintQuote `json:"prints,omitempty"`
	Warnings   []Warning    `json:"warnings,omitempty"`
	ValidUntil string       `json:"valid_until,omitempty"`
}

// PrintQuote is one print of an order of several. SameAs is the print whose films and screens it is printed from, 0 for
// its own. The ladder's totals are of the whole order, with every other print as it is.
type PrintQuote struct {
	N         int    `json:"n"`
	Placement string `json:"placement"`
	Quantity  int    `json:"quantity"`
	SameAs    int    `json:"same_as,omitempty"`
	Plan      *Doc   `json:"plan,omitempty"`
	Ladder    []Rung `json:"ladder,omitempty"`
}

// Line is one item of a quote; Amount is Quantity times UnitPrice, rounded. Print is the print it is of, where the order
// has a list of them.
type Line struct {
	Print     int    `json:"print,omitempty"`
	Code      string `json:"code"`
	Label     string `json:"label"`
	Quantity  string `json:"quantity"`
	Unit      string `json:"unit"`
	UnitPrice string `json:"unit_price"`
	Amount    string `json:"amount"`
}

// Break is the price of another quantity.
type Break struct {
	Quantity int    `json:"quantity"`
	PerPiece string `json:"per_piece"`
	Total    string `json:"total"`
}

// Rung is the match and the price with so many screens.
type Rung struct {
	Screens  int      `json:"screens"`
	Mean     float64  `json:"delta_e00_mean"`
	P95      float64  `json:"delta_e00_p95"`
	Inks     []string `json:"inks,omitempty"`
	Total    string   `json:"total"`
	PerPiece string   `json:"per_piece"`
}
