package serve

import (
	"context"
	_ "embed"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
)

//go:embed docs.html
var docsPage []byte

// Health says that a program is there, or ready.
type Health struct {
	Status string `json:"status" example:"ok"`
}

// healthz tells that the process answers; it asks nobody else.
//
//	@Summary	The process answers
//	@Tags		health
//	@Produce	json
//	@Success	200	{object}	Health
//	@Router		/healthz [get]
func (a *api) healthz(c *gin.Context) { c.JSON(http.StatusOK, Health{"ok"}) }

// readyz tells that queue and store answer.
//
//	@Summary	Queue and store answer
//	@Tags		health
//	@Produce	json
//	@Success	200	{object}	Health
//	@Failure	503	{object}	Problem
//	@Router		/readyz [get]
func (a *api) readyz(c *gin.Context) {
	ctx, cancel := context.WithTimeout(c.Request.Context(), 3*time.Second)
	defer cancel()
	if err := a.Queue.Ping(ctx); err != nil {
		fail(c, err)
		return
	}
	if _, err := a.Library.Store().List(ctx, "shops/", "", 1); err != nil {
		fail(c, fault.Wrap(err, fault.Unavailable, "store_unavailable", "the object store does not answer"))
		return
	}
	c.JSON(http.StatusOK, Health{"ready"})
}

// openapi serves the description of this interface.
func (a *api) openapi(c *gin.Context) {
	c.Data(http.StatusOK, "application/json; charset=utf-8", a.OpenAPI)
}

// docs serves the browsable description; it needs no outside host.
func (a *api) docs(c *gin.Context) {
	c.Header("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; "+
		"connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'")
	c.Data(http.StatusOK, "text/html; charset=utf-8", docsPage)
}

// front sends a browser to the description.
func (a *api) front(c *gin.Context) { c.Redirect(http.StatusTemporaryRedirect, "/docs") }
