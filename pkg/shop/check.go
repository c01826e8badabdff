package shop

import (
	"fmt"
	"regexp"

	"tamis/pkg/color"
	"tamis/pkg/fault"
)

var idForm = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)

// checker is the fault checker with what only shop documents need.
type checker struct{ fault.Checker }

func (c *checker) id(field, value string, seen map[string]bool) {
	if !idForm.MatchString(value) {
		c.Addf(field, "id", "%q: an id is 1 to 40 of a-z, 0-9 and hyphen", value)
	}
	if seen[value] {
		c.Addf(field, "id_twice", "%q stands twice", value)
	}
	seen[value] = true
}

func (c *checker) lab(field string, v [3]float64) {
	c.Between(field+"/0", v[0], 0, 100, "")
	c.Between(field+"/1", v[1], -150, 150, "")
	c.Between(field+"/2", v[2], -150, 150, "")
}

// Check names every value of the document that cannot be.
func (d Inks) Check() error {
	c, seen := &checker{}, map[string]bool{}
	for n, i := range d.Inks {
		at := fmt.Sprintf("/inks/%d", n)
		c.id(at+"/id", i.ID, seen)
		if _, err := color.ParseHex(i.Hex); err != nil {
			c.Addf(at+"/hex", "hex", "%q is not a colour such as #1a2b3c", i.Hex)
		}
		c.OneOf(at+"/kind", i.Kind, "plastisol", "water_base", "process")
		c.lab(at+"/lab_over_white", i.LabOverWhite)
		c.lab(at+"/lab_over_black", i.LabOverBlack)
		c.Between(at+"/density_g_cm3", i.DensityGCM3, 0.5, 5, " g/cm3")
		c.Between(at+"/max_particle_um", i.MaxParticleUM, 0, 500, " um")
	}
	return c.Err()
}

// Check names every value of the document that cannot be.
func (d Meshes) Check() error {
	c := &checker{}
	for n, m := range d.Meshes {
		at := fmt.Sprintf("/meshes/%d", n)
		c.Between(at+"/threads_per_cm", m.ThreadsPerCM, 5, 200, " threads/cm")
		c.Between(at+"/thread_um", m.ThreadUM, 10, 10000/max(m.ThreadsPerCM, 5)-1, " um")
		c.Between(at+"/fabric_um", m.FabricUM, 0, 1000, " um")
		c.OneOf(at+"/color", m.Color, "white", "yellow")
	}
	return c.Err()
}

// Check names every value of the document that cannot be.
func (d Devices) Check() error {
	c, seen := &checker{}, map[string]bool{}
	for n, one := range d.Devices {
		at := fmt.Sprintf("/devices/%d", n)
		c.id(at+"/id", one.ID, seen)
		c.OneOf(at+"/technology", one.Technology, "inkjet", "laser", "imagesetter", "direct")
		c.Add(one.CheckAt(at))
	}
	return c.Err()
}

// CheckAt names every figure of one device that cannot be; at is the device's JSON pointer. An order may give a device
// inline, so the figures are checked apart from id and technology. Scales, densities and register may be left out (0).
func (d Device) CheckAt(at string) error {
	c := &checker{}
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
	c.Between(at+"/register_mm", d.RegisterMM, 0, 5, " mm")
	return c.Err()
}

// Check names every value of the document that cannot be.
func (d Presses) Check() error {
	c, seen := &checker{}, map[string]bool{}
	for n, p := range d.Presses {
		at := fmt.Sprintf("/presses/%d", n)
		c.id(at+"/id", p.ID, seen)
		c.Between(at+"/stations", float64(p.Stations), 1, 40, "")
		c.Between(at+"/prints_per_hour", p.PrintsPerHour, 1, 5000, "")
		c.Between(at+"/setup_min_per_screen", p.SetupMinPerScreen, 0, 240, " min")
		c.Between(at+"/register_mm", p.RegisterMM, 0, 5, " mm")
		c.Between(at+"/transfer", p.Transfer, 0.05, 1, "")
	}
	return c.Err()
}

// Check names every value of the document that cannot be.
func (p Prices) Check() error { return p.Book().Check("") }

// Check names every value of every document of the snapshot that cannot be, and defaults that name nothing.
func (s Snapshot) Check() error {
	c := &checker{}
	c.OneOf("/paper", s.Profile.Paper, "a4", "letter")
	c.Between("/quote_valid_days", float64(s.Profile.QuoteValidDays), 1, 365, " days")
	c.Between("/exposure/exposure_s", s.Profile.Exposure.ExposureS, 0.1, 7200, " s")
	c.Between("/exposure/yellow_factor", s.Profile.Exposure.YellowFactor, 1, 5, "")
	if _, ok := s.Devices.Find(s.Profile.DefaultDevice); !ok {
		c.Addf("/default_device", "unknown_device", "no device %q", s.Profile.DefaultDevice)
	}
	if _, ok := s.Presses.Find(s.Profile.DefaultPress); !ok {
		c.Addf("/default_press", "unknown_press", "no press %q", s.Profile.DefaultPress)
	}
	for _, check := range []func() error{s.Inks.Check, s.Meshes.Check, s.Devices.Check, s.Presses.Check, s.Prices.Check} {
		c.Add(check())
	}
	return c.Err()
}
