package serve

import (
	"net/http"
	"net/url"
	"strconv"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/order"
)

// CalibrationPage is one page of calibrations, in order of their ids. NextCursor is there while others follow.
type CalibrationPage struct {
	Calibrations []library.Calibration `json:"calibrations"`
	NextCursor   string                `json:"next_cursor,omitempty"`
}

// postCalibration makes a tone curve of a control strip's readings.
//
//	@Summary		Read a control strip: a tone curve for a film device or a press
//	@Description	Each patch has the `tone` it was made of (0 to 1) and what was read: `density` on every patch, with the bare stock (tone 0) and the solid (tone 1) among them, or `area` on every patch. A film of a halftone plate has a control strip in the plate's own screen, without any correction: 0.05, 0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 0.95 and 1 where there is room, 8, 5 or 4 of them on small films, the solid always among them (`marks_left_out` says where there is none); films of line plates have none. Densities become areas by Murray-Davies, or by Yule-Nielsen with `n` (1 to 4; 1.5 for a press and 1 for a film when not given). A tone read several times is averaged. `curve` is what the device makes of a tone and never falls; films are corrected by its inverse. `noise` is the standard deviation of the readings about a smooth curve; from 0.005 on, and 12 tones between bare and solid, it is smoothed away; from 0.03 on, and 5 tones, the answer has the warning `noisy_curve`, and so does every plan that uses the curve.
//	@Description
//	@Description	Refused, each at its patch: fewer than 3 tones between bare and solid; a solid less than 0.3 D above the stock; a tone that reads lighter than a lighter one by more than 0.03 D or 0.02 of area; areas that rise by less than a fifth of the tone over 0.4 of it or more; readings of one tone more than 0.15 of area from their mean (of stock and solid: more than a tenth of what lies between the two).
//	@Description
//	@Description	A press's strip names in `film_curve_id` the curve of the device that made its film, so that the film's gain does not count twice. `read_at` says what the strip was screened at: `lpi`, `kind`, `dot_um` of an fm screen, and `threads_per_cm` as a note. A plan warns (`curve_read_elsewhere`) where a plate is of another kind, or more than 15 percent off in ruling or dot. The id follows from the content: the same again is answered 200.
//	@Tags			calibrations
//	@Accept			json
//	@Produce		json
//	@Param			readings	body		library.Readings	true	"the strip as read"
//	@Success		201			{object}	library.Calibration
//	@Success		200			{object}	library.Calibration	"this shop holds the same calibration already"
//	@Failure		400,413,415,422,503	{object}	Problem
//	@Router			/v1/calibrations [post]
func (a *api) postCalibration(c *gin.Context) {
	body, err := jsonBody(c)
	if err != nil {
		fail(c, err)
		return
	}
	var readings library.Readings
	if err := order.DecodeStrict(body, &readings); err != nil {
		fail(c, err)
		return
	}
	made, created, err := a.Library.SaveCalibration(c.Request.Context(), shopOf(c), readings)
	if err != nil {
		fail(c, err)
		return
	}
	kept(c, "/v1/calibrations/"+made.ID, created, made)
}

// getCalibration gives a calibration of the shop.
//
//	@Summary	A calibration
//	@Tags		calibrations
//	@Produce	json
//	@Param		id	path		string	true	"calibration id"
//	@Success	200	{object}	library.Calibration
//	@Failure	404,503	{object}	Problem
//	@Router		/v1/calibrations/{id} [get]
func (a *api) getCalibration(c *gin.Context) {
	found, err := a.Library.Calibration(c.Request.Context(), shopOf(c), c.Param("id"))
	if err != nil {
		fail(c, err)
		return
	}
	conditional(c, found)
}

// listCalibrations gives a page of calibrations.
//
//	@Summary	Calibrations, in order of their ids
//	@Tags		calibrations
//	@Produce	json
//	@Param		limit	query		int		false	"1 to 200, 50 when not given"
//	@Param		cursor	query		string	false	"next_cursor of the page before"
//	@Success	200		{object}	CalibrationPage
//	@Failure	400,503	{object}	Problem
//	@Router		/v1/calibrations [get]
func (a *api) listCalibrations(c *gin.Context) {
	limit, err := calibrationQuery(c)
	if err != nil {
		fail(c, err)
		return
	}
	found, more, err := a.Library.Calibrations(c.Request.Context(), shopOf(c), c.Query("cursor"), limit)
	if err != nil {
		fail(c, err)
		return
	}
	page := CalibrationPage{Calibrations: append([]library.Calibration{}, found...)}
	if more {
		page.NextCursor = found[len(found)-1].ID
		next := url.Values{"cursor": {page.NextCursor}, "limit": {strconv.Itoa(limit)}}
		c.Header("Link", "</v1/calibrations?"+next.Encode()+`>; rel="next"`)
	}
	c.JSON(http.StatusOK, page)
}

// calibrationQuery checks what may stand in the query of a listing and gives its limit.
func calibrationQuery(c *gin.Context) (limit int, err error) {
	for name := range c.Request.URL.Query() {
		if name != "limit" && name != "cursor" {
			return 0, fault.Newf(fault.Malformed, "", "query", "there is no query %.40q here", name)
		}
	}
	if cursor := c.Query("cursor"); cursor != "" && !library.IsCalibrationID(cursor) {
		return 0, fault.Newf(fault.Malformed, "", "cursor", "the cursor is not of this listing")
	}
	text := c.Query("limit")
	if text == "" {
		return pageLimit, nil
	}
	limit, err = strconv.Atoi(text)
	if err != nil || limit < 1 || limit > pageLimitMax {
		return 0, fault.Newf(fault.Malformed, "", "query", "limit is %.40q; 1 to %d can be", text, pageLimitMax)
	}
	return limit, nil
}
