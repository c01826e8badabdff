package shop

import (
	"fmt"
	"regexp"
	"strings"

	"tamis/pkg/color"
	"tamis/pkg/fault"
)

var idForm = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)

// Most entries of a list. Ours: several times what a large shop has; every quote looks at all of them.
const (
	maxInks    = 200
	maxMeshes  = 100
	maxDevices = 50
	maxPresses = 50
)

// maxMaterial bounds the price of a kg of ink and of a m2 of fabric, in any currency.
const maxMaterial = 10_000_000

// maxName bounds a name, in characters: what a film's legend and a line of the setup sheet hold.
const maxName = 80

// checker is the fault checker with what only shop documents need.
type checker struct{ fault.Checker }

func (c *checker) id(field, value string, seen map[string]bool) {
	if !idForm.MatchString(value) {
		c.Addf(field, "id", "%.60q: an id is 1 to 40 of a-z, 0-9 and hyphen", value)
	}
	if seen[value] {
		c.Addf(field, "id_twice", "%.60q stands twice", value)
	}
	seen[value] = true
}

func (c *checker) name(field, value string) {
	c.given(field, value)
	c.Text(field, value, maxName)
}

// given wants a word.
func (c *checker) given(field, value string) {
	if strings.TrimSpace(value) == "" {
		c.Addf(field, "missing", "nothing stands here; a %s is wanted", field[strings.LastIndexByte(field, '/')+1:])
	}
}

// count wants 1 to most entries: with an empty list nothing can be printed.
func (c *checker) count(field string, n, most int) {
	if n < 1 || n > most {
		c.Addf(field, "list_length", "%d entries; 1 to %d can be", n, most)
	}
}

func (c *checker) lab(field string, v [3]float64) {
	c.Between(field+"/0", v[0], 0, 100, "")
	c.Between(field+"/1", v[1], -150, 150, "")
	c.Between(field+"/2", v[2], -150, 150, "")
}

// Check names every value of the document that cannot be.
func (d Inks) Check() error {
	c, seen := &checker{}, map[string]bool{}
	c.count("/inks", len(d.Inks), maxInks)
	for n, i := range d.Inks {
		at := fmt.Sprintf("/inks/%d", n)
		c.id(at+"/id", i.ID, seen)
		c.ink(at, i)
	}
	if d.Cards != nil {
		c.cards(*d.Cards)
	}
	return c.Err()
}

// lighterOver is how much lighter than over white an ink may read over black. Ours: two readings with an instrument
// that repeats to 1 L* each way.
const lighterOver = 3

func (c *checker) ink(at string, i Ink) {
	c.name(at+"/name", i.Name)
	if _, err := color.ParseHex(i.Hex); err != nil {
		c.Addf(at+"/hex", "hex", "%.20q is not a colour such as #1a2b3c", i.Hex)
	}
	c.OneOf(at+"/kind", i.Kind, "plastisol", "water_base", "process")
	c.lab(at+"/lab_over_white", i.LabOverWhite)
	c.lab(at+"/lab_over_black", i.LabOverBlack)
	if w, k := i.LabOverWhite[0], i.LabOverBlack[0]; k > w+lighterOver {
		c.Addf(at+"/lab_over_black/0", "lighter_over_black", "L* %g over black, %g over white: were the two exchanged?", k, w)
	}
	c.Between(at+"/density_g_cm3", i.DensityGCM3, 0.5, 5, " g/cm3")
	c.amount(at+"/price_per_kg", i.PricePerKG, maxMaterial, "a kg")
	c.Between(at+"/max_particle_um", i.MaxParticleUM, 0, 500, " um")
}

// cardsApart is the least L* between the white and the black of a card: an ink's opacity is told from the two.
const cardsApart = 40

func (c *checker) cards(d Cards) {
	c.lab("/cards/white", d.White)
	c.lab("/cards/black", d.Black)
	if apart := d.White[0] - d.Black[0]; apart < cardsApart {
		c.Addf("/cards/black/0", "cards_alike", "the white card is %g L* lighter than the black one; %d or more is wanted",
			apart, cardsApart)
	}
}

// mostFabricPerThread is the thickest fabric a sheet can state, in threads. Practice: plain weaves are 1.4 to 1.6 thread
// diameters thick, calendered ones less, never less than one; crimped ones stay under 2.5.
const mostFabricPerThread = 2.5

// Check names every value of the document that cannot be.
func (d Meshes) Check() error {
	c := &checker{}
	c.count("/meshes", len(d.Meshes), maxMeshes)
	type fabric struct {
		threads, thread, thick float64
		color                  string
	}
	seen := map[fabric]bool{}
	for n, m := range d.Meshes {
		at := fmt.Sprintf("/meshes/%d", n)
		c.Between(at+"/threads_per_cm", m.ThreadsPerCM, 5, 200, " threads/cm")
		c.Between(at+"/thread_um", m.ThreadUM, 10, 10000/min(max(m.ThreadsPerCM, 5), 200)-1, " um")
		c.Between(at+"/fabric_um", m.FabricUM, 0, 1000, " um")
		if m.FabricUM > 0 && (m.FabricUM < m.ThreadUM || m.FabricUM > mostFabricPerThread*m.ThreadUM) {
			c.Addf(at+"/fabric_um", "out_of_range", "%g um; a fabric of %g um threads is %g to %g um thick, or 0 where no sheet "+
				"says", m.FabricUM, m.ThreadUM, m.ThreadUM, mostFabricPerThread*m.ThreadUM)
		}
		c.OneOf(at+"/color", m.Color, "white", "yellow")
		c.amount(at+"/price_per_m2", m.PricePerM2, maxMaterial, "a m2")
		one := fabric{m.ThreadsPerCM, m.ThreadUM, m.FabricUM, m.Color}
		if seen[one] {
			c.Addf(at, "mesh_twice", "%g threads/cm of %g um in %s stands twice", m.ThreadsPerCM, m.ThreadUM, m.Color)
		}
		seen[one] = true
	}
	return c.Err()
}

// Check names every value of the document that cannot be.
func (d Devices) Check() error {
	c, seen := &checker{}, map[string]bool{}
	c.count("/devices", len(d.Devices), maxDevices)
	for n, one := range d.Devices {
		at := fmt.Sprintf("/devices/%d", n)
		c.id(at+"/id", one.ID, seen)
		c.given(at+"/name", one.Name)
		c.given(at+"/technology", one.Technology)
		if one.Dmax == 0 {
			c.Addf(at+"/dmax", "missing", "nothing or 0 stands here; the density of the device's black is wanted")
		}
		c.Add(one.CheckAt(at))
	}
	return c.Err()
}

// CheckAt names every value of one device that cannot be; at is the device's JSON pointer. An order may give a device
// inline: what only the shop's list must have, id, name and technology, may be left out here, and so may scales,
// densities and register (0).
func (d Device) CheckAt(at string) error {
	c := &checker{}
	c.Text(at+"/name", d.Name, maxName)
	if d.Technology != "" {
		c.OneOf(at+"/technology", d.Technology, "inkjet", "laser", "imagesetter", "direct")
	}
	c.Between(at+"/x_dpi", d.XDPI, 300, 5080, " dpi")
	c.Between(at+"/y_dpi", d.YDPI, 300, 5080, " dpi")
	c.Between(at+"/width_mm", d.WidthMM, 50, 5000, " mm")
	c.Between(at+"/max_length_mm", d.MaxLengthMM, 0, 100000, " mm")
	if d.ScaleX != 0 {
		c.Between(at+"/scale_x", d.ScaleX, 0.9, 1.1, "")
	}
	if d.ScaleY != 0 {
		c.Between(at+"/scale_y", d.ScaleY, 0.9, 1.1, "")
	}
	c.Between(at+"/dmin", d.Dmin, 0, 1, "")
	c.Between(at+"/dmax", d.Dmax, 0, 6, "")
	if d.Dmax != 0 && d.Dmax <= d.Dmin {
		c.Addf(at+"/dmax", "dmax_below_dmin", "a Dmax of %g is not above the Dmin of %g", d.Dmax, d.Dmin)
	}
	c.Between(at+"/register_mm", d.RegisterMM, 0, 5, " mm")
	return c.Err()
}

// Check names every value of the document that cannot be.
func (d Presses) Check() error {
	c, seen := &checker{}, map[string]bool{}
	c.count("/presses", len(d.Presses), maxPresses)
	for n, p := range d.Presses {
		at := fmt.Sprintf("/presses/%d", n)
		c.id(at+"/id", p.ID, seen)
		c.name(at+"/name", p.Name)
		c.Between(at+"/stations", float64(p.Stations), 1, 40, "")
		c.Between(at+"/prints_per_hour", p.PrintsPerHour, 1, 5000, "")
		c.Between(at+"/setup_min_per_screen", p.SetupMinPerScreen, 0, 240, " min")
		c.Between(at+"/register_mm", p.RegisterMM, 0, 5, " mm")
		c.Between(at+"/transfer", p.Transfer, 0.05, 1, "")
	}
	return c.Err()
}
