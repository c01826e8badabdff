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
type Setup struct {
	Shop            string         `json:"shop"`
	Job             string         `json:"job"`
	Address         string         `json:"address"`
	OrderRef        string         `json:"order_ref"`
	Quantity        int            `json:"quantity"`
	Garment         order.Garment  `json:"garment"`
	Placement       string         `json:"placement"`
	Method          string         `json:"method"`
	Print           plan.Size      `json:"print"`
	Match           plan.Match     `json:"match"`
	Film            plan.FilmPage  `json:"film"`
	Press           plan.PressPlan `json:"press"`
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
		Quantity: in.Order.Quantity, Garment: in.Order.Garment, Placement: in.Order.Print.Placement, Method: doc.Method,
		Print: doc.Print, Match: doc.Match, Film: doc.Film, Press: doc.Press,
		TargetStep: in.Shop.Profile.Exposure.TargetStep, SpoilagePercent: in.Shop.Prices.SpoilagePercent,
		ScreenChargeG: in.Shop.Prices.ScreenChargeG, Plates: []SetupPlate{}, Warnings: r.result.Plan.Warnings,
		Cautions: sheet.Cautions}
	for _, p := range doc.Plates {
		s.Plates = append(s.Plates, SetupPlate{Plate: p, FilmFile: r.filmOf(p), MixGrams: r.mixGrams(p)})
	}
	return s
}
