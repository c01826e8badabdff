package serve

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
)

// gaveUp panics under a name that a stack shows.
func gaveUp() { panic("a table of 7 nodes") }

func TestAPanicInAGoroutineOfACallIsThatCallsFault(t *testing.T) {
	var log strings.Builder
	a := &api{Config: Config{Log: slog.New(slog.NewTextHandler(&log, nil))}}
	router := gin.New()
	router.Use(a.recovery, a.problems)
	router.GET("/ours", func(c *gin.Context) {
		group, _ := cores.NewGroup(c.Request.Context())
		group.Go(func() error { cores.Each(4, func(int) { gaveUp() }); return nil })
		fail(c, group.Wait())
	})
	router.GET("/decoder", func(c *gin.Context) {
		defer func() {
			fail(c, fault.Wrap(cores.PanicOf(recover()), fault.Invalid, "artwork_unreadable", "its decoder gave up"))
		}()
		cores.Together(gaveUp)
	})
	router.GET("/well", func(c *gin.Context) { c.Status(http.StatusNoContent) })
	for _, call := range []struct {
		path   string
		status int
		code   string
	}{
		{"/ours", 500, "internal"}, {"/decoder", 422, "artwork_unreadable"}, {"/well", 204, ""},
	} {
		log.Reset()
		answer := httptest.NewRecorder()
		router.ServeHTTP(answer, httptest.NewRequest(http.MethodGet, call.path, nil))
		body := answer.Body.String()
		if answer.Code != call.status || !strings.Contains(body, call.code) || strings.Contains(body, "nodes") {
			t.Errorf("%s: %d %s", call.path, answer.Code, body)
		}
		if said := log.String(); strings.Contains(said, "gaveUp") != (call.code != "") {
			t.Errorf("%s: the log says %q", call.path, said)
		}
	}
}
