package serve

import (
	"github.com/gin-gonic/gin"

	"tamis/pkg/shop"
)

// shopDocument answers with one document of the caller's shop.
func (a *api) shopDocument(c *gin.Context, pick func(shop.Snapshot) any) {
	s, err := a.Library.Snapshot(c.Request.Context(), shopOf(c))
	if err != nil {
		fail(c, err)
		return
	}
	conditional(c, pick(s))
}

// getShop gives the shop's profile.
//
//	@Summary	The shop's profile
//	@Tags		shop
//	@Produce	json
//	@Success	200	{object}	shop.Profile
//	@Failure	503	{object}	Problem
//	@Router		/v1/shop [get]
func (a *api) getShop(c *gin.Context) {
	a.shopDocument(c, func(s shop.Snapshot) any { return s.Profile })
}

// getInks gives the shop's inks.
//
//	@Summary	The shop's inks
//	@Tags		shop
//	@Produce	json
//	@Success	200	{object}	shop.Inks
//	@Failure	503	{object}	Problem
//	@Router		/v1/shop/inks [get]
func (a *api) getInks(c *gin.Context) {
	a.shopDocument(c, func(s shop.Snapshot) any { return s.Inks })
}

// getMeshes gives the shop's meshes.
//
//	@Summary	The shop's meshes
//	@Tags		shop
//	@Produce	json
//	@Success	200	{object}	shop.Meshes
//	@Failure	503	{object}	Problem
//	@Router		/v1/shop/meshes [get]
func (a *api) getMeshes(c *gin.Context) {
	a.shopDocument(c, func(s shop.Snapshot) any { return s.Meshes })
}

// getDevices gives the shop's film devices.
//
//	@Summary	The shop's film devices
//	@Tags		shop
//	@Produce	json
//	@Success	200	{object}	shop.Devices
//	@Failure	503	{object}	Problem
//	@Router		/v1/shop/devices [get]
func (a *api) getDevices(c *gin.Context) {
	a.shopDocument(c, func(s shop.Snapshot) any { return s.Devices })
}

// getPresses gives the shop's presses.
//
//	@Summary	The shop's presses
//	@Tags		shop
//	@Produce	json
//	@Success	200	{object}	shop.Presses
//	@Failure	503	{object}	Problem
//	@Router		/v1/shop/presses [get]
func (a *api) getPresses(c *gin.Context) {
	a.shopDocument(c, func(s shop.Snapshot) any { return s.Presses })
}

// getPrices gives the shop's price book.
//
//	@Summary	The shop's price book
//	@Tags		shop
//	@Produce	json
//	@Success	200	{object}	shop.Prices
//	@Failure	503	{object}	Problem
//	@Router		/v1/shop/prices [get]
func (a *api) getPrices(c *gin.Context) {
	a.shopDocument(c, func(s shop.Snapshot) any { return s.Prices })
}
