// Package order is the job specification callers send: its shape, what each value may be, what Tamis fills in, and its
// canonical form.
//
// In go JSON bytes; out comes an Order in which every default is filled, or every field at fault. Two orders that mean
// the same have the same canonical bytes. It knows no artwork, no shop figures beyond a device given inline, no HTTP.
package order

import (
	"tamis/pkg/shop"
)

// Order is the body of a quote and of a job, as the HTTP contract shapes it. After Complete no field is at its zero by
// omission but the pointers, where nil means: Tamis picks. One print is ArtworkID and Print; several are Prints, in
// their place.
type Order struct {
	ArtworkID    string     `json:"artwork_id,omitempty"`
	Print        Print      `json:"print,omitzero"`
	Prints       []Entry    `json:"prints,omitzero"`
	Garment      Garment    `json:"garment"`
	Quantity     int        `json:"quantity"`
	Separation   Separation `json:"separation"`
	Halftone     Halftone   `json:"halftone"`
	Mesh         Mesh       `json:"mesh"`
	Film         Film       `json:"film"`
	Press        string     `json:"press,omitempty"`
	Proof        Proof      `json:"proof"`
	OrderRef     string     `json:"order_ref"`
	OrderDate    string     `json:"order_date,omitempty"` // a day, 2006-01-02: films and setup sheet carry it
	Lane         string     `json:"lane"`
	ReuseScreens bool       `json:"reuse_screens"`
}

// Print is where the artwork goes and how large. One of the two lengths is enough, since the aspect is kept; with both
// the artwork is fitted inside the box.
type Print struct {
	WidthMM   float64 `json:"width_mm,omitempty"`
	HeightMM  float64 `json:"height_mm,omitempty"`
	Placement string  `json:"placement"`
}

// Garment is what is printed on: its colour as #rrggbb and what one costs.
type Garment struct {
	Color    string      `json:"color"`
	Name     string      `json:"name,omitempty"`
	UnitCost shop.Amount `json:"unit_cost"`
}

// Separation says how the artwork becomes plates. MaxScreens 0 and an empty list of inks leave it to Tamis; ChokeMM nil
// and TrapMM nil follow from the register of film device and press; such a choke is 0.3 mm or more.
type Separation struct {
	Method     string   `json:"method"`
	MaxScreens int      `json:"max_screens,omitempty"`
	Inks       []string `json:"inks,omitempty"`
	Underbase  string   `json:"underbase"`
	ChokeMM    *float64 `json:"choke_mm"`
	TrapMM     *float64 `json:"trap_mm"`
	IndexDPI   *float64 `json:"index_dpi,omitempty"`
	// IndexDither is how index prints mix their inks, blue_noise or diffusion; empty: Tamis picks.
	IndexDither string `json:"index_dither,omitempty"`
	// Profile is the id of an ICC output profile of the shop, for the process method.
	Profile string `json:"profile,omitempty"`
	// FreeInks offers inks mixed for this artwork beside the shop's.
	FreeInks bool `json:"free_inks,omitempty"`
	// MaxDeltaE00 asks for the fewest screens whose mean CIEDE2000 is within it.
	MaxDeltaE00 *float64 `json:"max_delta_e00,omitempty"`
	// MaxTotal asks for the best match whose quote is within it, in the shop's currency.
	MaxTotal *shop.Amount `json:"max_total,omitempty"`
}

// Halftone is the screening. An empty kind, nil ruling or angle: Tamis picks. DotUM is the dot of FM and hybrid screens.
type Halftone struct {
	Kind     string   `json:"kind,omitempty"`
	LPI      *float64 `json:"lpi"`
	AngleDeg *float64 `json:"angle_deg"`
	Dot      string   `json:"dot"`
	DotUM    *float64 `json:"dot_um,omitempty"`
	// ClusterUM makes an FM screen of round clusters of this diameter, for coarse meshes.
	ClusterUM *float64 `json:"cluster_um,omitempty"`
	// Mix is the dot "mix": standard dots from tone to tone.
	Mix        []DotAt `json:"mix,omitempty"`
	Highlights string  `json:"highlights"`
}

// DotAt is a dot of a mix and the tone, 0 to 1, at which it is that dot alone.
type DotAt struct {
	Dot string  `json:"dot"`
	At  float64 `json:"at"`
}

// Mesh asks for one mesh count on all screens; nil: Tamis picks one a plate.
type Mesh struct {
	ThreadsPerCM *float64 `json:"threads_per_cm"`
}

// Film is how the films are made.
type Film struct {
	Device   DeviceRef `json:"device"`
	Formats  []string  `json:"formats"`
	Polarity string    `json:"polarity"`
	Reading  string    `json:"reading"`
	MarginMM *float64  `json:"margin_mm"`
	// Split lets a print that no film of the device holds go over several, OverlapMM of it on both of two neighbours
	// (10 mm where none is given).
	Split     bool    `json:"split,omitempty"`
	OverlapMM float64 `json:"overlap_mm,omitempty"`
}

// Proof is the picture of the print. From "tones" it shows what was meant, from "films" what the films' own dots will
// print. RegisterErrorMM moves every screen but the first by that much, each another way: what a slip would look like.
type Proof struct {
	From            string  `json:"from"`
	RegisterErrorMM float64 `json:"register_error_mm,omitempty"`
	MaxPX           int     `json:"max_px"`
}

// Lanes are the queue's lanes, the fastest first.
var Lanes = []string{"rush", "normal", "bulk"}
