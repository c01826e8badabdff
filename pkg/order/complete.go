package order

import (
	"slices"
	"strings"
	"time"

	"tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/film"
	"tamis/pkg/halftone"
	"tamis/pkg/price"
)

// The bounds of an order. Ours: beyond them a slip of the pen is likelier than a print.
const (
	minPrintMM, maxPrintMM     = 5, 3000
	maxScreens                 = 12
	minLPI, maxLPI             = 15, 120
	minDotUM, maxDotUM         = 30, 1000
	minIndexDPI, maxIndexDPI   = 60, 400
	minDeltaE00, maxDeltaE00   = 0.5, 50
	maxMarginMM                = 150
	maxSpreadMM                = 3
	defaultMarginMM            = 20
	maxRefRunes, maxShortRunes = 120, 60
)

// What a proof is drawn from.
const (
	ProofTones = "tones"
	ProofFilms = "films"
)

// The proof's longest side. Ours: at 1600 a shop's screen shows it whole and lettering of 3 mm still reads.
const (
	minProofPX, defaultProofPX, maxProofPX = 100, 1600, 4000
)

// What the films of a split print share. Ours: 10 mm are enough to lay one true over the other and tape them there.
const (
	minOverlapMM, defaultOverlapMM, maxOverlapMM = 1, 10, 50
)

// Complete fills every default and names every value that cannot be. Numbers that are not numbers cannot come in by
// JSON; a value out of range says the range and the unit.
func (o Order) Complete() (Order, error) {
	o = o.filled()
	c := &fault.Checker{}
	o.checkSeparation(c)
	o.checkHalftone(c)
	o.checkMesh(c)
	o.checkFilm(c)
	if o.Prints == nil {
		o.checkPrint(c)
	} else {
		o.checkPrints(c)
	}
	o.checkProof(c)
	if _, err := color.ParseHex(o.Garment.Color); err != nil {
		c.Addf("/garment/color", "hex", "%q is not a colour such as #17181a", o.Garment.Color)
	}
	if o.Quantity < 1 || o.Quantity > price.MaxQuantity {
		c.Addf("/quantity", "quantity", "%d pieces; 1 to %d can be", o.Quantity, price.MaxQuantity)
	}
	c.OneOf("/lane", o.Lane, Lanes...)
	c.Text("/order_ref", o.OrderRef, maxRefRunes)
	if _, err := time.Parse(time.DateOnly, o.OrderDate); err != nil && o.OrderDate != "" {
		c.Addf("/order_date", "date", "%.40q is no day such as 2026-03-31", o.OrderDate)
	}
	c.Text("/garment/name", o.Garment.Name, maxShortRunes)
	if o.Garment.UnitCost.IsNegative() {
		c.Addf("/garment/unit_cost", "out_of_range", "%s for a garment; 0.00 or more of the shop's currency can be",
			o.Garment.UnitCost)
	}
	return o, c.Err()
}

// filled is the order with its defaults. What the caller gave is not written to.
func (o Order) filled() Order {
	if o.Prints == nil {
		def(&o.Print.Placement, defaultPlacement)
	}
	o.Separation.fill()
	o.Halftone.fill()
	o.Film.fill()
	def(&o.Proof.From, ProofTones)
	if o.Proof.MaxPX == 0 {
		o.Proof.MaxPX = defaultProofPX
	}
	def(&o.Lane, "normal")
	o.Garment.Color = strings.ToLower(o.Garment.Color)
	o.Prints = o.filledPrints()
	return o
}

const defaultPlacement = "front"

func (s *Separation) fill() {
	def(&s.Method, "auto")
	def(&s.Underbase, "auto")
}

func (h *Halftone) fill() {
	def(&h.Dot, "round")
	def(&h.Highlights, "drop")
}

func (f *Film) fill() {
	def(&f.Polarity, "positive")
	def(&f.Reading, string(film.RightInkUp))
	if f.MarginMM == nil {
		f.MarginMM = ptr(float64(defaultMarginMM))
	}
	if f.Split && f.OverlapMM == 0 {
		f.OverlapMM = defaultOverlapMM
	}
	if len(f.Formats) == 0 {
		f.Formats = []string{"tiff", "pdf"}
	}
}

func def(s *string, value string) {
	if *s == "" {
		*s = value
	}
}

func ptr(x float64) *float64 { return &x }

func (o Order) checkPrint(c *fault.Checker) {
	if o.ArtworkID == "" {
		c.Addf("/artwork_id", "missing", "the id of an uploaded artwork is wanted")
	}
	if o.Print.WidthMM == 0 && o.Print.HeightMM == 0 {
		c.Addf("/print/width_mm", "missing", "a width_mm or a height_mm is wanted")
	}
	if o.Print.WidthMM != 0 {
		c.Between("/print/width_mm", o.Print.WidthMM, minPrintMM, maxPrintMM, " mm")
	}
	if o.Print.HeightMM != 0 {
		c.Between("/print/height_mm", o.Print.HeightMM, minPrintMM, maxPrintMM, " mm")
	}
	c.Text("/print/placement", o.Print.Placement, maxShortRunes)
}

func (o Order) checkSeparation(c *fault.Checker) {
	s := o.Separation
	c.OneOf("/separation/method", s.Method, "auto", "spot", "process", "simulated_process", "index")
	c.OneOf("/separation/underbase", s.Underbase, "auto", "on", "off")
	if s.MaxScreens < 0 || s.MaxScreens > maxScreens {
		c.Addf("/separation/max_screens", "out_of_range", "%d screens; 1 to %d can be", s.MaxScreens, maxScreens)
	}
	c.Optional("/separation/choke_mm", s.ChokeMM, 0, maxSpreadMM, " mm")
	c.Optional("/separation/trap_mm", s.TrapMM, 0, maxSpreadMM, " mm")
	c.Optional("/separation/index_dpi", s.IndexDPI, minIndexDPI, maxIndexDPI, " dpi")
	if s.IndexDither != "" {
		c.OneOf("/separation/index_dither", s.IndexDither, "blue_noise", "diffusion")
	}
	c.Optional("/separation/max_delta_e00", s.MaxDeltaE00, minDeltaE00, maxDeltaE00, " CIEDE2000")
	if s.MaxTotal != nil && !s.MaxTotal.IsPositive() {
		c.Addf("/separation/max_total", "out_of_range", "%s; an amount above nothing is wanted", s.MaxTotal)
	}
	if s.Profile != "" && s.Method != "process" {
		c.Addf("/separation/profile", "not_here", "an output profile is for the method process, not %s", s.Method)
	}
	if s.FreeInks && s.Method == "process" {
		c.Addf("/separation/free_inks", "not_here", "process prints with the process inks; free_inks is for the other methods")
	}
}

func (o Order) checkMesh(c *fault.Checker) {
	c.Optional("/mesh/threads_per_cm", o.Mesh.ThreadsPerCM, 5, 200, " threads/cm")
}

func (o Order) checkHalftone(c *fault.Checker) {
	h := o.Halftone
	if h.Kind != "" {
		c.OneOf("/halftone/kind", h.Kind, "am", "fm", "hybrid")
	}
	c.OneOf("/halftone/highlights", h.Highlights, "drop", "hold")
	c.OneOf("/halftone/dot", h.Dot, dotNames()...)
	c.Optional("/halftone/lpi", h.LPI, minLPI, maxLPI, " lpi")
	c.Optional("/halftone/angle_deg", h.AngleDeg, -180, 180, " degrees")
	c.Optional("/halftone/dot_um", h.DotUM, minDotUM, maxDotUM, " um")
	c.Optional("/halftone/cluster_um", h.ClusterUM, minDotUM, maxDotUM, " um")
	if h.ClusterUM != nil && h.Kind != "fm" {
		c.Addf("/halftone/cluster_um", "cluster_unused", "clusters are of kind fm")
	}
	if (h.Dot == string(halftone.DotMix)) != (len(h.Mix) > 0) {
		c.Addf("/halftone/mix", "mix_unused", "a mix goes with the dot %q, and that dot with a mix", halftone.DotMix)
	}
	if len(h.Mix) > 0 {
		_, err := h.DotMix()
		c.Add(err)
	}
}

// DotMix is the mix as the screen takes it; a part that cannot be is fault.Invalid at its field.
func (h Halftone) DotMix() (halftone.Mix, error) {
	if len(h.Mix) == 0 {
		return "", nil
	}
	parts := make([]halftone.MixPart, len(h.Mix))
	for i, p := range h.Mix {
		parts[i] = halftone.MixPart{Dot: halftone.Dot(p.Dot), At: p.At}
	}
	return halftone.NewMix(parts)
}

func (o Order) checkProof(c *fault.Checker) {
	c.OneOf("/proof/from", o.Proof.From, ProofTones, ProofFilms)
	c.Between("/proof/register_error_mm", o.Proof.RegisterErrorMM, 0, maxSpreadMM, " mm")
	c.Between("/proof/max_px", float64(o.Proof.MaxPX), minProofPX, maxProofPX, " px")
}

func (o Order) checkFilm(c *fault.Checker) {
	c.OneOf("/film/polarity", o.Film.Polarity, "positive", "negative")
	c.OneOf("/film/reading", o.Film.Reading, string(film.RightInkUp), string(film.WrongInkUp))
	c.Between("/film/margin_mm", *o.Film.MarginMM, 0, maxMarginMM, " mm")
	for i, f := range o.Film.Formats {
		c.OneOf("/film/formats", f, "tiff", "pdf", "overlay")
		if slices.Contains(o.Film.Formats[:i], f) {
			c.Addf("/film/formats", "twice", "%q stands twice", f)
		}
	}
	switch {
	case o.Film.Split:
		c.Between("/film/overlap_mm", o.Film.OverlapMM, minOverlapMM, maxOverlapMM, " mm")
	case o.Film.OverlapMM != 0:
		c.Addf("/film/overlap_mm", "not_here", "an overlap is for films that may be split; ask for film.split as well")
	}
	if d := o.Film.Device.Inline; d != nil {
		c.Add(d.CheckAt("/film/device"))
	}
}

func dotNames() []string {
	var names []string
	for _, d := range halftone.Dots() {
		names = append(names, string(d))
	}
	return append(names, string(halftone.DotMix))
}
