// Package shop holds a shop's own documents: its profile, inks, meshes, devices, presses and prices, as the HTTP
// contract shapes them, what each value may be, and how each becomes the trade's types.
//
// In go documents; out come checked values, or every faulty field named. A Snapshot is what a job is made under: it is
// stored with the job, so that a later edit changes no rerun. It knows no storage and no HTTP.
package shop

import "github.com/shopspring/decimal"

// Profile is `/v1/shop`: who the shop is and what it uses when an order does not say.
type Profile struct {
	ID             string `json:"id"`
	Name           string `json:"name"`
	Paper          string `json:"paper"`
	QuoteValidDays int    `json:"quote_valid_days"`
	DefaultDevice  string `json:"default_device"`
	DefaultPress   string `json:"default_press"`
	// Site is where callers find this service, such as https://films.example: setup sheets' codes lead there.
	Site     string   `json:"site,omitempty"`
	Exposure Exposure `json:"exposure"`

	DefaultEmulsion string     `json:"default_emulsion,omitempty"`
	DefaultLamp     string     `json:"default_lamp,omitempty"`
	Emulsions       []Emulsion `json:"emulsions,omitempty"`
	Lamps           []Lamp     `json:"lamps,omitempty"`
}

// Exposure is the shop's lamp with its emulsion: the time that hardens to TargetStep of a 21-step wedge through clear
// film of density FilmDmin on white mesh, and the factor for dyed mesh.
type Exposure struct {
	ExposureS    float64 `json:"exposure_s"`
	TargetStep   float64 `json:"target_step"`
	FilmDmin     float64 `json:"film_dmin"`
	YellowFactor float64 `json:"yellow_factor"`
}

// Inks is `/v1/shop/inks`. Cards are the papers the inks were measured on, where they differ from the usual ones.
type Inks struct {
	Inks  []Ink  `json:"inks"`
	Cards *Cards `json:"cards,omitempty"`
}

// Cards are the measured CIELAB values, D50, of the white and the black of a contrast card.
type Cards struct {
	White [3]float64 `json:"white"`
	Black [3]float64 `json:"black"`
}

// Ink is one ink of the shop, known by its solid over white and over black.
type Ink struct {
	ID            string     `json:"id"`
	Name          string     `json:"name"`
	Hex           string     `json:"hex"`
	Kind          string     `json:"kind"`
	LabOverWhite  [3]float64 `json:"lab_over_white"`
	LabOverBlack  [3]float64 `json:"lab_over_black"`
	DensityGCM3   float64    `json:"density_g_cm3"`
	PricePerKG    Amount     `json:"price_per_kg"`
	MaxParticleUM float64    `json:"max_particle_um"`
}

// Meshes is `/v1/shop/meshes`.
type Meshes struct {
	Meshes []Mesh `json:"meshes"`
}

// Mesh is one fabric the shop stretches; FabricUM 0 means the data sheet gives no thickness.
type Mesh struct {
	ThreadsPerCM float64 `json:"threads_per_cm"`
	ThreadUM     float64 `json:"thread_um"`
	FabricUM     float64 `json:"fabric_um" shop:"optional"`
	Color        string  `json:"color"`
	PricePerM2   Amount  `json:"price_per_m2"`
}

// Devices is `/v1/shop/devices`.
type Devices struct {
	Devices []Device `json:"devices"`
}

// Device makes films. ScaleX and ScaleY are what the artwork is multiplied by so that the film measures true after the
// device has stretched or shrunk it; MaxLengthMM 0 means a roll without end; RegisterMM is how well two films agree.
type Device struct {
	ID          string  `json:"id,omitempty"`
	Name        string  `json:"name,omitempty"`
	Technology  string  `json:"technology,omitempty"`
	XDPI        float64 `json:"x_dpi"`
	YDPI        float64 `json:"y_dpi"`
	WidthMM     float64 `json:"width_mm"`
	MaxLengthMM float64 `json:"max_length_mm,omitempty"`
	ScaleX      float64 `json:"scale_x,omitempty"`
	ScaleY      float64 `json:"scale_y,omitempty"`
	Dmin        float64 `json:"dmin,omitempty"`
	Dmax        float64 `json:"dmax,omitempty"`
	CurveID     string  `json:"curve_id,omitempty"`
	RegisterMM  float64 `json:"register_mm,omitempty"`
}

// Presses is `/v1/shop/presses`.
type Presses struct {
	Presses []Press `json:"presses"`
}

// Press is one printing machine of the shop.
type Press struct {
	ID                string  `json:"id"`
	Name              string  `json:"name"`
	Stations          int     `json:"stations"`
	PrintsPerHour     float64 `json:"prints_per_hour"`
	SetupMinPerScreen float64 `json:"setup_min_per_screen"`
	RegisterMM        float64 `json:"register_mm"`
	Transfer          float64 `json:"transfer"`
	CurveID           string  `json:"curve_id,omitempty"`
}

// Prices is `/v1/shop/prices`.
type Prices struct {
	Currency          string   `json:"currency"`
	ScreenSetup       Amount   `json:"screen_setup"`
	ScreenReclaim     Amount   `json:"screen_reclaim"`
	EmulsionPerScreen Amount   `json:"emulsion_per_screen"`
	FilmPerM2         Amount   `json:"film_per_m2"`
	LabourPerHour     Amount   `json:"labour_per_hour"`
	FlashPerPrint     Amount   `json:"flash_per_print"`
	SpoilagePercent   Amount   `json:"spoilage_percent"`
	ScreenChargeG     Amount   `json:"screen_charge_g"`
	RushPercent       Amount   `json:"rush_percent"`
	Minimum           Amount   `json:"minimum"`
	Markups           []Markup `json:"markups"`
	BreakQuantities   []int    `json:"break_quantities"`
}

// Markup is what orders of From pieces or more earn: Percent of their cost, or MarginPercent of their price. One of the two
// is given.
type Markup struct {
	From          int     `json:"from"`
	Percent       *Amount `json:"percent,omitempty"`
	MarginPercent *Amount `json:"margin_percent,omitempty"`
}

// OnCost is the mark-up in percent of the cost: a margin of m percent of the price is 100 m / (100 - m) of the cost, rounded
// to six decimals.
func (m Markup) OnCost() decimal.Decimal {
	if m.MarginPercent == nil {
		return m.Percent.Decimal
	}
	hundred, margin := decimal.NewFromInt(100), m.MarginPercent.Decimal
	return margin.Mul(hundred).DivRound(hundred.Sub(margin), 6)
}

// Snapshot is everything a job is made under.
type Snapshot struct {
	Profile Profile `json:"shop"`
	Inks    Inks    `json:"inks"`
	Meshes  Meshes  `json:"meshes"`
	Devices Devices `json:"devices"`
	Presses Presses `json:"presses"`
	Prices  Prices  `json:"prices"`
}
