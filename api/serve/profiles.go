package serve

import (
	"github.com/gin-gonic/gin"

	"tamis/pkg/library"
)

// postProfile takes an ICC output profile.
//
//	@Summary		Upload an output profile
//	@Description	The body is an ICC output profile (class prtr) of a CMYK process, v2 or v4. An order of the method process names it in `separation.profile` and is separated by its table in place of the print model. The id follows from the bytes: the same profile again is answered 200.
//	@Tags			shop
//	@Accept			application/vnd.iccprofile,octet-stream
//	@Produce		json
//	@Success		201	{object}	library.Profile
//	@Success		200	{object}	library.Profile	"this shop holds the same bytes already"
//	@Failure		400,413,415,422,503	{object}	Problem
//	@Router			/v1/shop/profiles [post]
func (a *api) postProfile(c *gin.Context) {
	data, err := readAll(c, library.MaxProfileBytes)
	if err != nil {
		fail(c, err)
		return
	}
	p, created, err := a.Library.SaveProfile(c.Request.Context(), shopOf(c), data)
	if err != nil {
		fail(c, err)
		return
	}
	kept(c, "/v1/shop/profiles/"+p.ID, created, p)
}

// getProfile describes a profile of the shop.
//
//	@Summary	An output profile
//	@Tags		shop
//	@Produce	json
//	@Param		id	path		string	true	"profile id"
//	@Success	200	{object}	library.Profile
//	@Failure	404,503	{object}	Problem
//	@Router		/v1/shop/profiles/{id} [get]
func (a *api) getProfile(c *gin.Context) {
	p, err := a.Library.Profile(c.Request.Context(), shopOf(c), c.Param("id"))
	if err != nil {
		fail(c, err)
		return
	}
	conditional(c, p)
}
