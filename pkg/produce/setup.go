package produce

import (
	"encoding/json"

	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/sheet"
	"tamis/pkg/shop"
)

// Setup is the setup sheet as a document, for programs: the same facts, with no text cut short. Job is the short name of
// the work; Address is what the sheet's code says. TargetStep is the wedge step the exposures harden the emulsion to.
// Quantity is what is printed with these screens. Of an order with a list of prints, PrintN of Prints is this one,
// SameScreens are those of the list that its screens print, itself included where there are others.
type Setup struct {
	Shop            string         `json:"shop"`
	Job             string         `json:"job"`
	Address         string         `json:"address"`
	OrderRef        string         `json:"order_ref"`
	OrderDate       string         `json:"order_date,omitempty"`
	PrintN          int            `json:"print_n,omitempty"`
	Prints          int            `json:"prints,omitempty"`
	SameScreens     []SetupRun     `json:"same_screens,omitempty"`
	Quantity        int            `json:"quantity"`
	Garments        int            `json:"garments,omitempty"`
	Garment         order.Garment  `json:"garment"`
	Placement       string         `json:"placement"`
	Method          string         `json:"method"`
	Print           plan.Size      `json:"print"`
	Match           plan.Match     `json:"match"`
	Film            plan.FilmPage  `json:"film"`
	Press           plan.PressPlan `json:"press"`
	Register        plan.Register  `json:"register"`
	Exposure        plan.Exposure  `json:"exposure"`
	TargetStep      float64        `json:"target_step"`
	SpoilagePercent shop.Amount    `json:"spoilage_percent"`
	ScreenChargeG   shop.Amount    `json:"screen_charge_g"`
	Plates          []SetupPlate   `json:"plates"`
	Warnings        []plan.Warning `json:"warnings"`
	Cautions        string         `json:"cautions"`
}

// SetupPlate is a plate of the plan with its film, of a split print the first, and the ink to have ready for all prints.
type SetupPlate struct {
	plan.Plate
	FilmFile string `json:"film_file"`
	MixGrams int    `json:"mix_grams"`
}

// SetupRun is one of several prints from the same screens.
type SetupRun struct {
	PrintN    int    `json:"print_n"`
	Placement string `json:"placement"`
	Quantity  int    `json:"quantity"`
}

// setup puts the facts of the setup sheet as a document.
func (r *run) setup() error {
	data, err := json.MarshalIndent(r.setupDoc(), "", "  ")
	if err != nil {
		return err
	}
	r.result.SetupFacts = setupFile
	_, err = r.putBytes(setupFile, jsonType, append(data, '\n'))
	return err
}

func (r *run) setupDoc() Setup {
	doc, in := r.Plan.Doc, r.Plan.Input
	s := Setup{Shop: in.Shop.Profile.Name, Job: r.Label, Address: r.address(), OrderRef: in.Order.OrderRef,
		OrderDate: in.Order.OrderDate,
		Quantity:  r.Plan.Part.Pieces, Garment: in.Order.Garment, Placement: in.Order.Print.Placement, Method: doc.Method,
		Print: doc.Print, Match: doc.Match, Film: doc.Film, Press: doc.Press, Register: doc.Register,
		Exposure:   doc.Exposure,
		TargetStep: in.Shop.Profile.Exposure.TargetStep, SpoilagePercent: in.Shop.Prices.SpoilagePercent,
		ScreenChargeG: in.Shop.Prices.ScreenChargeG, Plates: []SetupPlate{}, Warnings: r.result.Plan.Warnings,
		Cautions: sheet.Cautions}
	if part := r.Plan.Part; part.Order.Prints != nil {
		s.PrintN, s.Prints, s.Garments, s.SameScreens = part.N, part.Order.Count(), part.Order.Quantity, sameScreens(part)
	}
	for _, p := range doc.Plates {
		s.Plates = append(s.Plates, SetupPlate{Plate: p, FilmFile: r.filmOf(p), MixGrams: r.mixGrams(p)})
	}
	return s
}

// sameScreens lists the prints that a print's screens make, nil where that is it alone.
func sameScreens(part plan.Part) []SetupRun {
	if len(part.Also) == 0 {
		return nil
	}
	var runs []SetupRun
	for _, n := range append([]int{part.N}, part.Also...) {
		one := part.Order.One(n)
		runs = append(runs, SetupRun{PrintN: n, Placement: one.Print.Placement, Quantity: one.Quantity})
	}
	return runs
}
