package serve

import (
	"context"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/shop"
)

func profileAlone(_ context.Context, _ *api, owner library.ShopID, s shop.Snapshot) error {
	var faults fault.List
	if s.Profile.ID != string(owner) {
		faults.Add(fault.Invalidf("/id", "id", "%.60q; the id is the shop's own, %q, and stays", s.Profile.ID, owner))
	}
	faults.Add(s.Profile.Check())
	faults.Add(s.DefaultsStand())
	return faults.Err()
}

func devicesStand(ctx context.Context, a *api, owner library.ShopID, s shop.Snapshot) error {
	var faults fault.List
	faults.Add(s.Devices.Check())
	faults.Add(s.KeepsDefaultDevice())
	faults.Add(a.Library.CheckCurves(ctx, owner, "film", s.Devices.Curves()))
	return faults.Err()
}

func pressesStand(ctx context.Context, a *api, owner library.ShopID, s shop.Snapshot) error {
	var faults fault.List
	faults.Add(s.Presses.Check())
	faults.Add(s.KeepsDefaultPress())
	faults.Add(a.Library.CheckCurves(ctx, owner, "press", s.Presses.Curves()))
	return faults.Err()
}

func inksAlone(_ context.Context, _ *api, _ library.ShopID, s shop.Snapshot) error {
	return s.Inks.Check()
}

func meshesAlone(_ context.Context, _ *api, _ library.ShopID, s shop.Snapshot) error {
	return s.Meshes.Check()
}

func pricesAlone(_ context.Context, _ *api, _ library.ShopID, s shop.Snapshot) error {
	return s.Prices.Check()
}

// putShop replaces the shop's profile.
//
//	@Summary		Replace the shop's profile
//	@Description	Who the shop is and what it uses when an order does not say. `id` is the shop's own and cannot be changed; `default_device` and `default_press` must be among /v1/shop/devices and /v1/shop/presses. `emulsions` harden in `exposure_s` on white and on yellow mesh, to `exposure.target_step` through clear film of `exposure.film_dmin`; under a lamp those times grow by the square of `distance_mm` over `tested_mm` and fall with `light`. With a `default_emulsion`, `exposure.exposure_s` and `yellow_factor` must say what it says; without one they are the shop's own test. The document is put whole and every value is checked; one that cannot be changes nothing and every such field is named. If-Match carries the ETag that GET gave: without it 428, and 412 when the document was changed since. Jobs and quotes made before keep what they were made under.
//	@Tags			shop
//	@Accept			json
//	@Produce		json
//	@Param			If-Match	header	string	true	"the ETag of the document this one replaces"
//	@Param			document	body	shop.Profile	true	"the whole document"
//	@Success		200	{object}	shop.Profile
//	@Header			200	{string}	ETag	"the tag of the new document"
//	@Failure		400,412,413,415,422,428,503	{object}	Problem
//	@Router			/v1/shop [put]
func (a *api) putShop(c *gin.Context) {
	put(a, c, replacement[shop.Profile]{doc: library.ProfileDoc, check: profileAlone,
		in: func(s *shop.Snapshot) *shop.Profile { return &s.Profile }})
}

// putInks replaces the shop's inks.
//
//	@Summary		Replace the shop's inks
//	@Description	An ink is known by its solid over the white and the black of a contrast card, CIELAB, D50, 2 degrees. `cards` gives the card where it is not (95,0,-2) and (10,0,0). 1 to 200 inks. The document is put whole and every value is checked; one that cannot be changes nothing and every such field is named. If-Match carries the ETag that GET gave: without it 428, and 412 when the document was changed since. Jobs and quotes made before keep what they were made under.
//	@Tags			shop
//	@Accept			json
//	@Produce		json
//	@Param			If-Match	header	string	true	"the ETag of the document this one replaces"
//	@Param			document	body	shop.Inks	true	"the whole document"
//	@Success		200	{object}	shop.Inks
//	@Header			200	{string}	ETag	"the tag of the new document"
//	@Failure		400,412,413,415,422,428,503	{object}	Problem
//	@Router			/v1/shop/inks [put]
func (a *api) putInks(c *gin.Context) {
	put(a, c, replacement[shop.Inks]{doc: library.InksDoc, check: inksAlone,
		in: func(s *shop.Snapshot) *shop.Inks { return &s.Inks }})
}

// putMeshes replaces the shop's meshes.
//
//	@Summary		Replace the shop's meshes
//	@Description	1 to 100 fabrics, threads in um before weaving, thinner than their pitch; `fabric_um` is 1 to 2.5 threads, or left out. The document is put whole and every value is checked; one that cannot be changes nothing and every such field is named. If-Match carries the ETag that GET gave: without it 428, and 412 when the document was changed since. Jobs and quotes made before keep what they were made under.
//	@Tags			shop
//	@Accept			json
//	@Produce		json
//	@Param			If-Match	header	string	true	"the ETag of the document this one replaces"
//	@Param			document	body	shop.Meshes	true	"the whole document"
//	@Success		200	{object}	shop.Meshes
//	@Header			200	{string}	ETag	"the tag of the new document"
//	@Failure		400,412,413,415,422,428,503	{object}	Problem
//	@Router			/v1/shop/meshes [put]
func (a *api) putMeshes(c *gin.Context) {
	put(a, c, replacement[shop.Meshes]{doc: library.MeshesDoc, check: meshesAlone,
		in: func(s *shop.Snapshot) *shop.Meshes { return &s.Meshes }})
}

// putDevices replaces the shop's film devices.
//
//	@Summary		Replace the shop's film devices
//	@Description	1 to 50 devices, the profile's default among them. A `curve_id` names a calibration of kind film. The document is put whole and every value is checked; one that cannot be changes nothing and every such field is named. If-Match carries the ETag that GET gave: without it 428, and 412 when the document was changed since. Jobs and quotes made before keep what they were made under.
//	@Tags			shop
//	@Accept			json
//	@Produce		json
//	@Param			If-Match	header	string	true	"the ETag of the document this one replaces"
//	@Param			document	body	shop.Devices	true	"the whole document"
//	@Success		200	{object}	shop.Devices
//	@Header			200	{string}	ETag	"the tag of the new document"
//	@Failure		400,412,413,415,422,428,503	{object}	Problem
//	@Router			/v1/shop/devices [put]
func (a *api) putDevices(c *gin.Context) {
	put(a, c, replacement[shop.Devices]{doc: library.DevicesDoc, check: devicesStand,
		in: func(s *shop.Snapshot) *shop.Devices { return &s.Devices }})
}

// putPresses replaces the shop's presses.
//
//	@Summary		Replace the shop's presses
//	@Description	1 to 50 presses, the profile's default among them. A `curve_id` names a calibration of kind press. The document is put whole and every value is checked; one that cannot be changes nothing and every such field is named. If-Match carries the ETag that GET gave: without it 428, and 412 when the document was changed since. Jobs and quotes made before keep what they were made under.
//	@Tags			shop
//	@Accept			json
//	@Produce		json
//	@Param			If-Match	header	string	true	"the ETag of the document this one replaces"
//	@Param			document	body	shop.Presses	true	"the whole document"
//	@Success		200	{object}	shop.Presses
//	@Header			200	{string}	ETag	"the tag of the new document"
//	@Failure		400,412,413,415,422,428,503	{object}	Problem
//	@Router			/v1/shop/presses [put]
func (a *api) putPresses(c *gin.Context) {
	put(a, c, replacement[shop.Presses]{doc: library.PressesDoc, check: pressesStand,
		in: func(s *shop.Snapshot) *shop.Presses { return &s.Presses }})
}

// putPrices replaces the shop's price book.
//
//	@Summary		Replace the shop's price book
//	@Description	Money is a decimal string in the currency (ISO 4217), up to six decimals. Markups are `percent` of the cost, or `margin_percent` of the price (a margin of m is a mark-up of 100 m / (100 - m) of the cost, rounded to six decimals, 81.818182 for 45): the line `margin` of a quote. They rise in `from`, the first at 1, and fall in percent; break quantities rise. The document is put whole and every value is checked; one that cannot be changes nothing and every such field is named. If-Match carries the ETag that GET gave: without it 428, and 412 when the document was changed since. Jobs and quotes made before keep what they were made under.
//	@Tags			shop
//	@Accept			json
//	@Produce		json
//	@Param			If-Match	header	string	true	"the ETag of the document this one replaces"
//	@Param			document	body	shop.Prices	true	"the whole document"
//	@Success		200	{object}	shop.Prices
//	@Header			200	{string}	ETag	"the tag of the new document"
//	@Failure		400,412,413,415,422,428,503	{object}	Problem
//	@Router			/v1/shop/prices [put]
func (a *api) putPrices(c *gin.Context) {
	put(a, c, replacement[shop.Prices]{doc: library.PricesDoc, check: pricesAlone,
		in: func(s *shop.Snapshot) *shop.Prices { return &s.Prices }})
}
