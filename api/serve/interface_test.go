package serve_test

import (
	"encoding/json"
	"log/slog"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"tamis/api/serve"
	"tamis/openapi"
)

// TestEveryRouteIsDescribedAndEveryDescriptionIsARoute compares gin's routes with the paths of the description.
func TestEveryRouteIsDescribedAndEveryDescriptionIsARoute(t *testing.T) {
	var doc struct {
		Paths map[string]map[string]any
	}
	if err := json.Unmarshal(openapi.Document, &doc); err != nil {
		t.Fatal(err)
	}
	described := map[string]bool{}
	for path, verbs := range doc.Paths {
		for verb := range verbs {
			described[strings.ToUpper(verb)+" "+path] = true
		}
	}
	pages := map[string]bool{"GET /": true, "GET /docs": true, "GET /openapi.json": true}
	engine := serve.New(serve.Config{Log: slog.Default()}).(*gin.Engine)
	for _, r := range engine.Routes() {
		if r.Method == "HEAD" {
			continue // every GET but the event stream has one
		}
		parts := strings.Split(r.Path, "/")
		for i, p := range parts {
			if name, ok := strings.CutPrefix(p, ":"); ok {
				parts[i] = "{" + name + "}"
			}
		}
		route := r.Method + " " + strings.Join(parts, "/")
		if !described[route] && !pages[route] {
			t.Errorf("%s is not described", route)
		}
		delete(described, route)
	}
	for route := range described {
		t.Errorf("%s is described and not served", route)
	}
}

func TestPagesAndHealthAnswer(t *testing.T) {
	s := start(t)
	for _, path := range []string{"/healthz", "/readyz", "/docs", "/openapi.json", "/v1/shop", "/v1/shop/inks", "/v1/shop/meshes",
		"/v1/shop/devices", "/v1/shop/presses", "/v1/shop/prices"} {
		if r := s.call("GET", path, nil, nil); r.status != 200 || len(r.body) == 0 {
			t.Errorf("%s: %d", path, r.status)
		}
	}
	docs := string(s.call("GET", "/docs", nil, nil).body)
	for _, outside := range []string{"http://", "https://", "src="} {
		if strings.Contains(docs, outside) {
			t.Errorf("the page needs an outside host: %s", outside)
		}
	}
	if inks := s.call("GET", "/v1/shop/inks", nil, nil).want(t, 200)["inks"].([]any); len(inks) < 10 {
		t.Errorf("%d inks", len(inks))
	}
}

func TestRefusalsAreProblemsAndTellNothingInternal(t *testing.T) {
	s := start(t)
	art := s.upload(flatPNG(t, 60))
	for name, r := range map[string]struct {
		method, path, body string
		header             map[string]string
		status             int
		pointer            string
	}{
		"nothing there":   {"GET", "/v2", "", nil, 404, ""},
		"wrong verb":      {"PATCH", "/v1/jobs", "", nil, 405, ""},
		"empty":           {"POST", "/v1/quotes", "", nil, 400, ""},
		"not JSON":        {"POST", "/v1/jobs", "{", nil, 400, ""},
		"a form":          {"POST", "/v1/jobs", "a=b", map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, 415, ""},
		"unknown artwork": {"POST", "/v1/quotes", string(orderOf("art_00000000000000000000000000000000", "")), nil, 422, "#/artwork_id"},
		"no such ink":     {"POST", "/v1/quotes", string(orderOf(art, `,"separation":{"inks":["octarine"]}`)), nil, 422, "#/separation/inks/0"},
		"no such device":  {"POST", "/v1/quotes", string(orderOf(art, `,"mesh":{"threads_per_cm":55}`)), nil, 422, "#/mesh/threads_per_cm"},
		"too fine":        {"POST", "/v1/quotes", string(orderOf(art, `,"halftone":{"lpi":121}`)), nil, 422, "#/halftone/lpi"},
		"unknown field":   {"POST", "/v1/jobs", string(orderOf(art, `,"halftone":{"lip":55}`)), nil, 400, "#/halftone/lip"},
		"huge":            {"POST", "/v1/jobs", `{"order_ref":"` + strings.Repeat("x", 2<<20) + `"}`, nil, 413, ""},
	} {
		got := s.call(r.method, r.path, r.header, []byte(r.body))
		doc := got.want(t, r.status)
		if got.header.Get("Content-Type") != "application/problem+json" || doc["type"] == "" || doc["title"] == "" {
			t.Errorf("%s: %v", name, doc)
		}
		if p, _ := doc["pointer"].(string); p != r.pointer {
			t.Errorf("%s: pointer %q, want %q", name, p, r.pointer)
		}
		for _, internal := range []string{"goroutine", "struct", ".go:", "redis", "minio"} {
			if strings.Contains(string(got.body), internal) {
				t.Errorf("%s tells of %q: %s", name, internal, got.body)
			}
		}
	}
}
