package serve

import (
	"math"
	"net/http"

	"github.com/gin-gonic/gin"

	"tamis/pkg/order"
	"tamis/pkg/stencil"
)

// ExposureRequest is a test exposure with a step wedge, and what is to change.
type ExposureRequest struct {
	ExposureS     float64  `json:"exposure_s" example:"60"`
	StepRead      float64  `json:"step_read" example:"6"`
	StepTarget    float64  `json:"step_target" example:"7"`
	StepDensity   *float64 `json:"step_density,omitempty" example:"0.15"`
	DistanceMM    *float64 `json:"distance_mm,omitempty" example:"1000"`
	NewDistanceMM *float64 `json:"new_distance_mm,omitempty"`
	FilmDmin      *float64 `json:"film_dmin,omitempty" example:"0.05"`
	NewFilmDmin   *float64 `json:"new_film_dmin,omitempty"`
	FilmDmax      *float64 `json:"film_dmax,omitempty" example:"3.5"`
	LampMM        *float64 `json:"lamp_mm,omitempty" example:"60"`
	GapUM         *float64 `json:"gap_um,omitempty" example:"100"`
}

// ExposureAdvice is the new exposure. The leak is there with a film_dmax, the undercut with lamp_mm and gap_um.
type ExposureAdvice struct {
	ExposureS     float64           `json:"exposure_s" example:"84.75"`
	Factor        float64           `json:"factor" example:"1.4125"`
	LeakFraction  *float64          `json:"leak_fraction,omitempty" example:"0.000355"`
	LeakSteps     *float64          `json:"leak_steps,omitempty" example:"23"`
	StepsWanted   *float64          `json:"steps_wanted,omitempty" example:"13"`
	UndercutUM    *float64          `json:"undercut_um,omitempty" example:"2.33"`
	SmallestDotUM *float64          `json:"smallest_dot_um,omitempty" example:"9.31"`
	Warnings      []ExposureWarning `json:"warnings"`
	Caution       string            `json:"caution"`
}

// ExposureWarning is something to know before the light goes on.
type ExposureWarning struct {
	Code    string `json:"code" enums:"far_from_test,black_leaks,weak_black,clear_is_dense"`
	Message string `json:"message"`
}

const exposureCaution = "UV light harms eyes and skin: expose in a closed or interlocked unit. The emulsion's and the " +
	"lamp's data sheets, local rules and a test with the wedge come before these figures."

// postExposure reckons an exposure.
//
//	@Summary		A new exposure time from a step-wedge reading
//	@Description	The time grows by 10^(step_density (step_target - step_read)), by the square of the lamp's distance where `new_distance_mm` is given, by 10^(new_film_dmin - film_dmin) for another film. With `film_dmin` and `film_dmax`: `leak_fraction` is the light through black as a share of the light through clear, `leak_steps` the same in steps of the wedge, `steps_wanted` what stands the exposure with margin. With `lamp_mm` (the lamp's width), `distance_mm` and `gap_um` (what lies between the film's image and the stencil): `undercut_um` is how far the stencil hardens under each black edge, `smallest_dot_um` the smallest black dot that keeps half its width. Steps are 1 to 41, halves included; `step_density` is 0.15 when left out.
//	@Tags			decisions
//	@Accept			json
//	@Produce		json
//	@Param			test	body		ExposureRequest	true	"the test exposure"
//	@Success		200		{object}	ExposureAdvice
//	@Failure		400,413,415,422	{object}	Problem
//	@Router			/v1/exposures [post]
func (a *api) postExposure(c *gin.Context) {
	body, err := jsonBody(c)
	if err != nil {
		fail(c, err)
		return
	}
	var r ExposureRequest
	if err := order.DecodeStrict(body, &r); err != nil {
		fail(c, err)
		return
	}
	advice, err := r.test().Advise()
	if err != nil {
		fail(c, err)
		return
	}
	c.JSON(http.StatusOK, adviceDoc(advice))
}

func (r ExposureRequest) test() stencil.Test {
	t := stencil.Test{ExposureS: r.ExposureS, Read: r.StepRead, Target: r.StepTarget, StepDensity: stencil.WedgeStep,
		DistanceMM: r.DistanceMM, NewDistanceMM: r.NewDistanceMM, FilmDmin: r.FilmDmin, NewDmin: r.NewFilmDmin,
		FilmDmax: r.FilmDmax, LampMM: r.LampMM, GapUM: r.GapUM}
	if r.StepDensity != nil {
		t.StepDensity = *r.StepDensity
	}
	return t
}

func adviceDoc(a stencil.Advice) ExposureAdvice {
	doc := ExposureAdvice{ExposureS: digits(a.ExposureS), Factor: digits(a.Factor), Warnings: []ExposureWarning{},
		Caution: exposureCaution}
	if l := a.Leak; l != nil {
		fraction, steps, wanted := digits(l.Fraction), digits(l.Steps), digits(l.Wanted)
		doc.LeakFraction, doc.LeakSteps, doc.StepsWanted = &fraction, &steps, &wanted
	}
	if u := a.Undercut; u != nil {
		edge, dot := digits(u.EdgeUM), digits(u.SmallestUM)
		doc.UndercutUM, doc.SmallestDotUM = &edge, &dot
	}
	for _, w := range a.Warnings {
		doc.Warnings = append(doc.Warnings, ExposureWarning{w.Code, w.Message})
	}
	return doc
}

// digits rounds to five digits, so that a figure reads well and is the same on every machine.
func digits(x float64) float64 {
	if x == 0 {
		return 0
	}
	scale := math.Pow(10, 4-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*scale) / scale
}
