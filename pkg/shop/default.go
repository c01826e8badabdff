package shop

import "tamis/pkg/color"

// Default is the shop Tamis starts with: generic, invented figures in the middle of what the trade calls usual.
// Practice throughout: a shop replaces them with its own measurements.
func Default() Snapshot {
	return Snapshot{
		Profile: Profile{ID: "default", Name: "The print shop", Paper: "a4", QuoteValidDays: 30,
			DefaultDevice: "inkjet-1440", DefaultPress: "auto-10",
			Exposure:        Exposure{ExposureS: 45, TargetStep: 7, FilmDmin: 0.05, YellowFactor: 1.7},
			DefaultEmulsion: "dual-cure", DefaultLamp: "point-lamp", Emulsions: defaultEmulsions(), Lamps: defaultLamps()},
		Inks:    Inks{Inks: defaultInks()},
		Meshes:  Meshes{Meshes: defaultMeshes()},
		Devices: Devices{Devices: defaultDevices()},
		Presses: Presses{Presses: []Press{
			{ID: "manual-6", Name: "Manual, 6 stations", Stations: 6, PrintsPerHour: 70, SetupMinPerScreen: 8,
				RegisterMM: 0.2, Transfer: 0.65},
			{ID: "auto-10", Name: "Automatic, 10 stations", Stations: 10, PrintsPerHour: 420, SetupMinPerScreen: 7,
				RegisterMM: 0.12, Transfer: 0.6},
		}},
		Prices: defaultPrices(),
	}
}

// plastisol is one ready-to-print ink: density and particle size as data sheets commonly give them.
func plastisol(id, name string, overWhite, overBlack [3]float64) Ink {
	return Ink{ID: id, Name: name, Hex: lab(overWhite).RGB8().Hex(), Kind: "plastisol", LabOverWhite: overWhite,
		LabOverBlack: overBlack, DensityGCM3: 1.2, PricePerKG: MustAmount("18.50"), MaxParticleUM: 12}
}

// processInk is one transparent ink; the solids are those of coated offset, over a black card nearly the card itself.
func processInk(id, name string, overWhite, overBlack [3]float64) Ink {
	return Ink{ID: id, Name: name, Hex: lab(overWhite).RGB8().Hex(), Kind: "process", LabOverWhite: overWhite,
		LabOverBlack: overBlack, DensityGCM3: 1.1, PricePerKG: MustAmount("22.00"), MaxParticleUM: 8}
}

// long: a table of inks
func defaultInks() []Ink {
	white := plastisol("white", "White", [3]float64{94, -0.5, 1}, [3]float64{88, -1.5, -1})
	white.DensityGCM3, white.PricePerKG, white.MaxParticleUM = 1.45, MustAmount("15.50"), 15
	return []Ink{
		white,
		plastisol("black", "Black", [3]float64{17, 0, 0}, [3]float64{13, 0, 0}),
		plastisol("scarlet", "Scarlet", [3]float64{48, 68, 44}, [3]float64{36, 50, 31}),
		plastisol("warm-red", "Warm red", [3]float64{55, 68, 58}, [3]float64{41, 50, 42}),
		plastisol("orange", "Orange", [3]float64{68, 45, 72}, [3]float64{50, 34, 51}),
		plastisol("golden-yellow", "Golden yellow", [3]float64{80, 15, 82}, [3]float64{60, 10, 56}),
		plastisol("lemon-yellow", "Lemon yellow", [3]float64{90, -6, 88}, [3]float64{67, -9, 58}),
		plastisol("leaf-green", "Leaf green", [3]float64{48, -50, 30}, [3]float64{37, -37, 21}),
		plastisol("lime", "Lime", [3]float64{77, -40, 64}, [3]float64{57, -31, 42}),
		plastisol("turquoise", "Turquoise", [3]float64{62, -38, -16}, [3]float64{47, -29, -13}),
		plastisol("sky-blue", "Sky blue", [3]float64{66, -18, -35}, [3]float64{51, -14, -29}),
		plastisol("royal-blue", "Royal blue", [3]float64{34, 16, -58}, [3]float64{26, 13, -44}),
		plastisol("navy", "Navy", [3]float64{20, 4, -26}, [3]float64{15, 3, -17}),
		plastisol("violet", "Violet", [3]float64{33, 38, -44}, [3]float64{25, 29, -34}),
		plastisol("magenta", "Magenta", [3]float64{50, 72, -8}, [3]float64{37, 53, -7}),
		plastisol("pink", "Pink", [3]float64{72, 40, 2}, [3]float64{56, 32, 0}),
		plastisol("brown", "Brown", [3]float64{34, 18, 24}, [3]float64{26, 13, 16}),
		plastisol("sand", "Sand", [3]float64{76, 9, 28}, [3]float64{63, 7, 18}),
		plastisol("cream", "Cream", [3]float64{91, 0, 14}, [3]float64{80, -1, 7}),
		plastisol("moss-green", "Moss green", [3]float64{46, -30, 30}, [3]float64{36, -23, 21}),
		plastisol("grey", "Grey", [3]float64{60, 0, -2}, [3]float64{52, -0.5, -3}),
		processInk("process-cyan", "Process cyan", [3]float64{55, -37, -50}, [3]float64{11, -2, -6}),
		processInk("process-magenta", "Process magenta", [3]float64{48, 74, -3}, [3]float64{11, 5, -1}),
		processInk("process-yellow", "Process yellow", [3]float64{89, -5, 93}, [3]float64{12, -1, 4}),
		processInk("process-black", "Process black", [3]float64{16, 0, 0}, [3]float64{7, 0, 0}),
	}
}

func defaultMeshes() []Mesh {
	var meshes []Mesh
	for _, m := range []struct {
		threads, threadUM float64
		color, price      string
	}{{32, 100, "white", "9.00"}, {43, 80, "white", "9.50"}, {54, 64, "white", "10.00"}, {61, 64, "white", "10.50"},
		{71, 55, "white", "11.50"}, {77, 55, "yellow", "12.00"}, {90, 48, "yellow", "13.00"},
		{100, 40, "yellow", "14.00"}, {110, 40, "yellow", "15.00"}, {120, 34, "yellow", "16.50"},
		{140, 31, "yellow", "19.00"}} {
		meshes = append(meshes, Mesh{ThreadsPerCM: m.threads, ThreadUM: m.threadUM, Color: m.color,
			PricePerM2: MustAmount(m.price)})
	}
	return meshes
}

func defaultDevices() []Device {
	return []Device{
		{ID: "inkjet-1440", Name: "Inkjet film, 1440 dpi roll", Technology: "inkjet", XDPI: 1440, YDPI: 1440, WidthMM: 432,
			ScaleX: 1, ScaleY: 1, Dmin: 0.05, Dmax: 3.5, RegisterMM: 0.1},
		{ID: "inkjet-720", Name: "Inkjet film, 1440 x 720 dpi roll", Technology: "inkjet", XDPI: 1440, YDPI: 720,
			WidthMM: 610,
			ScaleX:  1, ScaleY: 1, Dmin: 0.05, Dmax: 3.3, RegisterMM: 0.15},
		{ID: "laser-1200", Name: "Laser film, 1200 dpi sheet", Technology: "laser", XDPI: 1200, YDPI: 1200, WidthMM: 297,
			MaxLengthMM: 420, ScaleX: 1.0012, ScaleY: 1.0031, Dmin: 0.08, Dmax: 2.3, RegisterMM: 0.35},
		{ID: "imagesetter-2540", Name: "Imagesetter film, 2540 dpi", Technology: "imagesetter", XDPI: 2540, YDPI: 2540,
			WidthMM: 558, MaxLengthMM: 5000, ScaleX: 1, ScaleY: 1, Dmin: 0.04, Dmax: 4.2, RegisterMM: 0.05},
	}
}

func defaultPrices() Prices {
	return Prices{Currency: "EUR", ScreenSetup: MustAmount("9.50"), ScreenReclaim: MustAmount("4.00"),
		EmulsionPerScreen: MustAmount("1.80"), FilmPerM2: MustAmount("14.00"), LabourPerHour: MustAmount("38.00"),
		FlashPerPrint: MustAmount("0.04"), SpoilagePercent: MustAmount("2.00"), ScreenChargeG: MustAmount("40.00"),
		RushPercent: MustAmount("25.00"), Minimum: MustAmount("60.00"),
		Markups: []Markup{onCost(1, "60.00"), onCost(24, "52.00"), onCost(72, "45.00"), onCost(250, "38.00"),
			onCost(1000, "30.00")},
		BreakQuantities: []int{12, 24, 48, 72, 144, 288, 500, 1000}}
}

func onCost(from int, percent string) Markup {
	a := MustAmount(percent)
	return Markup{From: from, Percent: &a}
}

// GroundOf is the garment's colour as the print model's ground: its screen colour read as CIELAB, D50.
func GroundOf(hex string) (color.Lab, error) {
	rgb, err := color.ParseHex(hex)
	if err != nil {
		return color.Lab{}, err
	}
	return rgb.Lab(), nil
}
