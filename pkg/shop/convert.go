package shop

import (
	"github.com/shopspring/decimal"

	"tamis/pkg/color"
	"tamis/pkg/fabric"
	"tamis/pkg/film"
	"tamis/pkg/ink"
	"tamis/pkg/press"
	"tamis/pkg/price"
)

func lab(v [3]float64) color.Lab { return color.Lab{L: v[0], A: v[1], B: v[2]} }

// Ink gives the trade's ink.
func (i Ink) Ink() ink.Ink {
	return ink.Ink{ID: i.ID, Name: i.Name, Hex: i.Hex, Kind: ink.Kind(i.Kind), OverWhite: lab(i.LabOverWhite),
		OverBlack: lab(i.LabOverBlack), DensityGCM3: i.DensityGCM3, MaxParticleUM: i.MaxParticleUM}
}

// Trade gives the trade's inks, in the document's order, and the cards they were measured on.
func (d Inks) Trade() ([]ink.Ink, ink.Cards) {
	inks := make([]ink.Ink, len(d.Inks))
	for i, one := range d.Inks {
		inks[i] = one.Ink()
	}
	if d.Cards == nil {
		return inks, ink.DefaultCards()
	}
	return inks, ink.Cards{White: lab(d.Cards.White), Black: lab(d.Cards.Black)}
}

// PricePerKG is the price of the ink with this id, zero for one the shop does not hold.
func (d Inks) PricePerKG(id string) decimal.Decimal {
	for _, i := range d.Inks {
		if i.ID == id {
			return i.PricePerKG.Decimal
		}
	}
	return decimal.Zero
}

// MeanPricePerKG is what the shop's inks cost on average, process inks left out; zero with none.
func (d Inks) MeanPricePerKG() decimal.Decimal {
	sum, n := decimal.Zero, int64(0)
	for _, i := range d.Inks {
		if i.Kind != string(ink.Process) {
			sum, n = sum.Add(i.PricePerKG.Decimal), n+1
		}
	}
	if n == 0 {
		return sum
	}
	return sum.DivRound(decimal.NewFromInt(n), 2)
}

// Trade gives the trade's fabrics, in the document's order.
func (d Meshes) Trade() []fabric.Mesh {
	meshes := make([]fabric.Mesh, len(d.Meshes))
	for i, m := range d.Meshes {
		meshes[i] = fabric.Mesh{ThreadsPerCM: m.ThreadsPerCM, ThreadUM: m.ThreadUM, FabricUM: m.FabricUM,
			Yellow: m.Color == "yellow"}
	}
	return meshes
}

// Find gives the device with this id.
func (d Devices) Find(id string) (Device, bool) {
	for _, one := range d.Devices {
		if one.ID == id {
			return one, true
		}
	}
	return Device{}, false
}

// Film gives the film page's view of the device; a scale left out is 1.
func (d Device) Film() film.Device {
	return film.Device{XDPI: d.XDPI, YDPI: d.YDPI, WidthMM: d.WidthMM, MaxLengthMM: d.MaxLengthMM,
		ScaleX: orOne(d.ScaleX), ScaleY: orOne(d.ScaleY)}
}

func orOne(x float64) float64 {
	if x == 0 {
		return 1
	}
	return x
}

// Find gives the press with this id.
func (d Presses) Find(id string) (Press, bool) {
	for _, one := range d.Presses {
		if one.ID == id {
			return one, true
		}
	}
	return Press{}, false
}

// Trade gives the trade's press.
func (p Press) Trade() press.Press {
	return press.Press{Name: p.Name, Stations: p.Stations, PrintsPerHour: p.PrintsPerHour,
		SetupMinPerScreen: p.SetupMinPerScreen, RegisterMM: p.RegisterMM, Transfer: p.Transfer}
}

// Book gives the trade's price book.
func (p Prices) Book() price.Book {
	b := price.Book{Currency: p.Currency, ScreenSetup: p.ScreenSetup.Decimal, ScreenReclaim: p.ScreenReclaim.Decimal,
		EmulsionPerScreen: p.EmulsionPerScreen.Decimal, FilmPerM2: p.FilmPerM2.Decimal,
		LabourPerHour: p.LabourPerHour.Decimal, FlashPerPrint: p.FlashPerPrint.Decimal,
		SpoilagePercent: p.SpoilagePercent.Decimal, ScreenChargeG: p.ScreenChargeG.Decimal,
		RushPercent: p.RushPercent.Decimal, Minimum: p.Minimum.Decimal, BreakQuantities: p.BreakQuantities}
	for _, m := range p.Markups {
		b.Markups = append(b.Markups, price.Markup{From: m.From, Percent: m.OnCost()})
	}
	return b
}
