package shop

import (
	"fmt"
	"net/url"
)

// Check names every value of the profile that cannot be, but for what it refers to.
func (p Profile) Check() error {
	c := &checker{}
	c.name("/name", p.Name)
	c.OneOf("/paper", p.Paper, "a4", "letter")
	c.site(p.Site)
	c.Between("/quote_valid_days", float64(p.QuoteValidDays), 1, 365, " days")
	c.Between("/exposure/exposure_s", p.Exposure.ExposureS, 0.1, 7200, " s")
	c.Between("/exposure/target_step", p.Exposure.TargetStep, 1, 21, "")
	c.Between("/exposure/film_dmin", p.Exposure.FilmDmin, 0, 1, "")
	c.Between("/exposure/yellow_factor", p.Exposure.YellowFactor, 1, 5, "")
	c.stencils(p)
	return c.Err()
}

// Check names every value of every document of the snapshot that cannot be, and defaults that name nothing.
func (s Snapshot) Check() error {
	c := &checker{}
	for _, check := range []func() error{s.Profile.Check, s.DefaultsStand, s.Inks.Check, s.Meshes.Check, s.Devices.Check,
		s.Presses.Check, s.Prices.Check} {
		c.Add(check())
	}
	return c.Err()
}

// DefaultsStand names the profile's defaults that are not among the shop's devices and presses.
func (s Snapshot) DefaultsStand() error {
	c := &checker{}
	if _, ok := s.Devices.Find(s.Profile.DefaultDevice); !ok {
		c.Addf("/default_device", "unknown_device", "there is no device %.60q in /v1/shop/devices", s.Profile.DefaultDevice)
	}
	if _, ok := s.Presses.Find(s.Profile.DefaultPress); !ok {
		c.Addf("/default_press", "unknown_press", "there is no press %.60q in /v1/shop/presses", s.Profile.DefaultPress)
	}
	return c.Err()
}

// KeepsDefaultDevice wants the profile's default device among the devices.
func (s Snapshot) KeepsDefaultDevice() error {
	c := &checker{}
	if _, ok := s.Devices.Find(s.Profile.DefaultDevice); !ok {
		c.Addf("/devices", "default_missing", "%q is the default_device of /v1/shop and is not among these: "+
			"keep it, or name another default first", s.Profile.DefaultDevice)
	}
	return c.Err()
}

// KeepsDefaultPress wants the profile's default press among the presses.
func (s Snapshot) KeepsDefaultPress() error {
	c := &checker{}
	if _, ok := s.Presses.Find(s.Profile.DefaultPress); !ok {
		c.Addf("/presses", "default_missing", "%q is the default_press of /v1/shop and is not among these: "+
			"keep it, or name another default first", s.Profile.DefaultPress)
	}
	return c.Err()
}

// CurveUse is a place of a document that names a tone curve.
type CurveUse struct{ Field, ID string }

// Curves lists the film curves the devices name.
func (d Devices) Curves() []CurveUse {
	var uses []CurveUse
	for n, one := range d.Devices {
		if one.CurveID != "" {
			uses = append(uses, CurveUse{fmt.Sprintf("/devices/%d/curve_id", n), one.CurveID})
		}
	}
	return uses
}

// Curves lists the press curves the presses name.
func (d Presses) Curves() []CurveUse {
	var uses []CurveUse
	for n, p := range d.Presses {
		if p.CurveID != "" {
			uses = append(uses, CurveUse{fmt.Sprintf("/presses/%d/curve_id", n), p.CurveID})
		}
	}
	return uses
}

// maxSite leaves room for a path behind it in a code that a telephone reads.
const maxSite = 80

// site wants the address of a web server without a path.
func (c *checker) site(s string) {
	if s == "" {
		return
	}
	c.Text("/site", s, maxSite)
	u, err := url.Parse(s)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.User != nil || u.Path != "" || u.RawQuery != "" ||
		u.Fragment != "" {
		c.Addf("/site", "site", "%.100q is no address such as https://films.example, without a path", s)
	}
}
