package plan

import (
	"fmt"
	"strings"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// resolve looks up what the order names in the shop's documents.
func (d *draft) resolve() error {
	var faults fault.List
	ground, err := shop.GroundOf(d.Input.Order.Garment.Color)
	if err != nil {
		faults.Add(fault.Invalidf("/garment/color", "hex", "%s", fault.Of(err).Msg))
	}
	d.ground = ground
	faults.Add(d.resolveDevice())
	faults.Add(d.resolvePress())
	faults.Add(d.resolveInks())
	faults.Add(d.resolveMesh())
	return faults.Err()
}

func (d *draft) resolveDevice() error {
	ref, devices := d.Input.Order.Film.Device, d.Input.Shop.Devices
	if ref.Inline != nil {
		d.device = *ref.Inline
		d.assumeDensities()
		if d.device.Name == "" {
			d.device.Name = fmt.Sprintf("%g x %g dpi", d.device.XDPI, d.device.YDPI)
		}
		return nil
	}
	id := ref.ID
	if id == "" {
		id = d.Input.Shop.Profile.DefaultDevice
	}
	device, ok := devices.Find(id)
	if !ok {
		names := make([]string, len(devices.Devices))
		for i, one := range devices.Devices {
			names[i] = one.ID
		}
		return fault.Invalidf("/film/device", "unknown_device", "no film device %q; the shop has %s", id,
			strings.Join(names, ", "))
	}
	d.device = device
	return nil
}

// assumeDensities fills the densities that a device given inline leaves out, and says so.
func (d *draft) assumeDensities() {
	var assumed []string
	if d.device.Dmin == 0 {
		d.device.Dmin = d.Input.Shop.Profile.Exposure.FilmDmin
		assumed = append(assumed, fmt.Sprintf("a clear of %g, as in the shop's exposure test", d.device.Dmin))
	}
	if d.device.Dmax == 0 {
		d.device.Dmax = assumedDmax
		assumed = append(assumed, fmt.Sprintf("a black of %g", assumedDmax))
	}
	if len(assumed) > 0 {
		d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: "assumed_densities", Severity: string(artwork.Info),
			Message: "the film device has no densities; assumed are " + strings.Join(assumed, " and "),
			Remedy:  "give the device's dmin and dmax, as a densitometer reads them"})
	}
}

// assumedDmax is the black of a device given inline without one. Practice: a good inkjet film.
const assumedDmax = 3.4

func (d *draft) resolvePress() error {
	id := d.Input.Order.Press
	if id == "" {
		id = d.Input.Shop.Profile.DefaultPress
	}
	p, ok := d.Input.Shop.Presses.Find(id)
	if !ok {
		return fault.Invalidf("/press", "unknown_press", "the shop has no press %q", id)
	}
	d.press, d.model = p, p.Trade()
	return nil
}

// resolveInks takes the inks the order names. Named none, process inks are for the process method and the others for
// the rest: a transparent black would otherwise be taken for line work that an opaque one prints better.
func (d *draft) resolveInks() error {
	all, cards := d.Input.Shop.Inks.Trade()
	d.cards = cards
	wanted := d.Input.Order.Separation.Inks
	if d.Input.Order.Separation.FreeInks {
		d.inks = separate.MixedInks(d.Input.Inspection, all, cards, d.ground)
	}
	if len(wanted) == 0 {
		process := d.Input.Order.Separation.Method == string(separate.Process)
		for _, i := range all {
			if (i.Kind == ink.Process) == process || process && i.IsWhite() { // white, for the underbase
				d.inks = append(d.inks, i)
			}
		}
		return nil
	}
	seen := map[string]bool{}
	for n, id := range wanted {
		at := fmt.Sprintf("/separation/inks/%d", n)
		found := false
		for _, i := range all {
			if i.ID == id {
				d.inks, found = append(d.inks, i), true
			}
		}
		if !found {
			return fault.Invalidf(at, "unknown_ink", "the shop has no ink %q", id)
		}
		if seen[id] {
			return fault.Invalidf(at, "ink_twice", "%q stands twice", id)
		}
		seen[id] = true
	}
	return nil
}

// resolveMesh finds the mesh the order pins all screens to.
func (d *draft) resolveMesh() error {
	want := d.Input.Order.Mesh.ThreadsPerCM
	if want == nil {
		return nil
	}
	counts := make([]string, 0, len(d.Input.Shop.Meshes.Meshes))
	for _, m := range d.Input.Shop.Meshes.Meshes {
		if m.ThreadsPerCM == *want {
			d.pinned = &m
			return nil
		}
		counts = append(counts, fmt.Sprintf("%g", m.ThreadsPerCM))
	}
	return fault.Invalidf("/mesh/threads_per_cm", "unknown_mesh", "no mesh of %g threads/cm; the shop has %s", *want,
		strings.Join(counts, ", "))
}
