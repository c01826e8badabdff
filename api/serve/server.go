// Package serve is the HTTP interface: Gin handlers that decode, make one call of the trade, and encode.
//
// One file a resource; problem.go is the only place that knows a status for a fault; decode and strictness live in
// order. It knows no separation, no halftone and no Lua.
package serve

import (
	"log/slog"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/artwork"
	"tamis/pkg/library"
	"tamis/pkg/queue"
	"tamis/pkg/separate"
)

// Config is what the API serves from. Now is the clock; nil is the system's. Closing ends event streams when the
// server stops; nil never ends them.
type Config struct {
	Library *library.Library
	Queue   *queue.Queue
	Limits  artwork.Limits
	Tables  *separate.Tables // solved separations kept from order to order; nil: none
	Log     *slog.Logger
	Now     func() time.Time
	Closing <-chan struct{}
	OpenAPI []byte
}

// api holds what the handlers share. It is never changed once made.
type api struct {
	Config
	uploads chan struct{}
	quotes  *quoteCache
}

// uploadsAtOnce bounds how many artworks are decoded side by side: each may take limits.MaxPixels of memory.
const uploadsAtOnce = 2

// New gives the handler for everything under /v1 and the pages beside it.
func New(c Config) http.Handler {
	if c.Now == nil {
		c.Now = time.Now
	}
	a := &api{Config: c, uploads: make(chan struct{}, uploadsAtOnce), quotes: newQuoteCache()}
	gin.SetMode(gin.ReleaseMode)
	r := gin.New()
	r.HandleMethodNotAllowed = true
	r.RedirectTrailingSlash = false
	r.RedirectFixedPath = false
	_ = r.SetTrustedProxies(nil) // nil cannot fail; without it X-Forwarded-For is believed from anyone
	r.Use(a.recovery, headers, a.problems)
	r.NoRoute(func(c *gin.Context) { fail(c, noRoute(c)) })
	r.NoMethod(func(c *gin.Context) { fail(c, noMethod(c)) })
	a.routes(r)
	return r
}

// Ops gives the handler of the listener for health alone: calls of storefronts cannot starve it.
func Ops(c Config) http.Handler {
	a := &api{Config: c}
	r := gin.New()
	_ = r.SetTrustedProxies(nil) // as in New
	r.Use(a.recovery, headers, a.problems)
	get(r, "/healthz", a.healthz)
	get(r, "/readyz", a.readyz)
	return r
}

// routes is the list of everything served.
func (a *api) routes(r *gin.Engine) {
	get(r, "/healthz", a.healthz)
	get(r, "/readyz", a.readyz)
	get(r, "/openapi.json", a.openapi)
	get(r, "/docs", a.docs)
	get(r, "/", a.front)
	v1 := r.Group("/v1")
	v1.POST("/artworks", a.postArtwork)
	get(v1, "/artworks/:id", a.getArtwork)
	v1.POST("/quotes", a.postQuote)
	get(v1, "/quotes/:id", a.getQuote)
	v1.POST("/jobs", a.postJob)
	v1.POST("/nests", a.postNest)
	get(v1, "/jobs", a.listJobs)
	get(v1, "/jobs/:id", a.getJob)
	v1.DELETE("/jobs/:id", a.deleteJob)
	v1.GET("/jobs/:id/events", a.jobEvents)
	get(v1, "/jobs/:id/files", a.listFiles)
	get(v1, "/jobs/:id/files/:name", a.getFile)
	v1.POST("/mesh-picks", a.postMeshPick)
	v1.POST("/exposures", a.postExposure)
	v1.POST("/calibrations", a.postCalibration)
	get(v1, "/calibrations", a.listCalibrations)
	get(v1, "/calibrations/:id", a.getCalibration)
	v1.POST("/shop/profiles", a.postProfile)
	get(v1, "/shop/profiles/:id", a.getProfile)
	get(v1, "/shop", a.getShop)
	get(v1, "/shop/inks", a.getInks)
	get(v1, "/shop/meshes", a.getMeshes)
	get(v1, "/shop/devices", a.getDevices)
	get(v1, "/shop/presses", a.getPresses)
	get(v1, "/shop/prices", a.getPrices)
	v1.PUT("/shop", a.putShop)
	v1.PUT("/shop/inks", a.putInks)
	v1.PUT("/shop/meshes", a.putMeshes)
	v1.PUT("/shop/devices", a.putDevices)
	v1.PUT("/shop/presses", a.putPresses)
	v1.PUT("/shop/prices", a.putPrices)
}

// get serves GET, and HEAD for those who only ask what there is: the server itself leaves the body out.
func get(r gin.IRoutes, path string, h gin.HandlerFunc) {
	r.GET(path, h)
	r.HEAD(path, h)
}

// shopOf is the shop a call acts for. With no key configured that is the default one.
func shopOf(*gin.Context) library.ShopID { return library.DefaultShop }

// headers are on every answer: nothing here is to be sniffed, framed or cached unless a handler says so.
func headers(c *gin.Context) {
	h := c.Writer.Header()
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'; sandbox")
	h.Set("Cache-Control", "no-store")
}
