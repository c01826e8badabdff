package serve_test

import (
	"bytes"
	"fmt"
	"mime/multipart"
	"strings"
	"testing"
)

var asPNG = map[string]string{"Content-Type": "image/png"}

// upload sends a picture and gives its id.
func (s *service) upload(data []byte) string {
	s.t.Helper()
	r := s.call("POST", "/v1/artworks", nil, data)
	if r.status != 200 {
		r.want(s.t, 201)
	}
	return r.want(s.t, r.status)["id"].(string)
}

func TestAnUploadIsInspectedAndKnownAgain(t *testing.T) {
	s := start(t)
	picture := flatPNG(t, 300)
	first := s.call("POST", "/v1/artworks?width_mm=100", asPNG, picture)
	doc := first.want(t, 201)
	insp := doc["inspection"].(map[string]any)
	if insp["kind"] != "flat" || len(insp["colors"].([]any)) != 2 || insp["has_alpha"] != true {
		t.Errorf("inspection %v", insp)
	}
	if ppi := insp["effective_ppi"].(float64); ppi < 76.1 || ppi > 76.3 {
		t.Errorf("300 px on 100 mm are 76.2 ppi, not %g", ppi)
	}
	if first.header.Get("Location") != "/v1/artworks/"+doc["id"].(string) {
		t.Errorf("Location %q", first.header.Get("Location"))
	}
	if again := s.call("POST", "/v1/artworks", asPNG, picture).want(t, 200); again["id"] != doc["id"] {
		t.Errorf("the same bytes are %v and %v", doc["id"], again["id"])
	}
	got := s.call("GET", "/v1/artworks/"+doc["id"].(string), nil, nil)
	got.want(t, 200)
	if r := s.call("GET", "/v1/artworks/"+doc["id"].(string), map[string]string{"If-None-Match": got.header.Get("ETag")}, nil); r.status != 304 {
		t.Errorf("held already: %d", r.status)
	}
}

func TestAMultipartUploadIsTheSameArtwork(t *testing.T) {
	s := start(t)
	picture := flatPNG(t, 120)
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	_ = form.WriteField("note", "passed over")
	part, _ := form.CreateFormFile("file", "../../etc/passwd.png")
	_, _ = part.Write(picture)
	form.Close()
	doc := s.call("POST", "/v1/artworks", map[string]string{"Content-Type": form.FormDataContentType()}, body.Bytes()).want(t, 201)
	if raw := s.call("POST", "/v1/artworks", asPNG, picture).want(t, 200); raw["id"] != doc["id"] {
		t.Errorf("raw %v, multipart %v", raw["id"], doc["id"])
	}
	body.Reset()
	form = multipart.NewWriter(&body)
	_ = form.WriteField("note", "no file")
	form.Close()
	s.call("POST", "/v1/artworks", map[string]string{"Content-Type": form.FormDataContentType()}, body.Bytes()).want(t, 400)
}

// hugePNG has the header of a picture of 60,000 x 60,000 px and nothing behind it: 14 GB if it were believed.
func hugePNG(t *testing.T) []byte {
	data := flatPNG(t, 8)
	copy(data[16:24], []byte{0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60})
	return data
}

func TestWhatIsNoArtworkIsRefused(t *testing.T) {
	s := start(t, "TAMIS_MAX_BYTES=20000", "TAMIS_MAX_PIXELS=100000")
	for name, r := range map[string]struct {
		header map[string]string
		body   []byte
		status int
		code   string
	}{
		"text":            {nil, []byte("hello"), 415, ""},
		"empty":           {nil, nil, 400, "empty_body"},
		"told wrongly":    {map[string]string{"Content-Type": "image/jpeg"}, flatPNG(t, 40), 415, ""},
		"cut short":       {asPNG, flatPNG(t, 40)[:60], 422, ""},
		"too many bytes":  {asPNG, bytes.Repeat([]byte{1}, 20001), 413, "too_many_bytes"},
		"too many pixels": {asPNG, flatPNG(t, 400), 413, ""},
		"a bomb":          {asPNG, hugePNG(t), 413, ""},
		"compressed":      {map[string]string{"Content-Encoding": "gzip"}, flatPNG(t, 8), 415, "content_encoding"},
		"no boundary":     {map[string]string{"Content-Type": "multipart/form-data"}, flatPNG(t, 8), 400, "multipart"},
	} {
		got := s.call("POST", "/v1/artworks", r.header, r.body)
		doc := got.want(t, r.status)
		if got.header.Get("Content-Type") != "application/problem+json" || doc["status"].(float64) != float64(r.status) {
			t.Errorf("%s: %s %v", name, got.header.Get("Content-Type"), doc)
		}
		if r.code != "" && doc["code"] != r.code {
			t.Errorf("%s: code %v, want %s", name, doc["code"], r.code)
		}
	}
}

func TestABrokenContentLengthIsSeenBeforeTheBody(t *testing.T) {
	s := start(t, "TAMIS_MAX_BYTES=1000")
	doc := s.call("POST", "/v1/artworks", nil, make([]byte, 5000)).want(t, 413)
	if !strings.Contains(doc["detail"].(string), "5000") || !strings.Contains(doc["detail"].(string), "1000") {
		t.Errorf("the refusal names neither figure nor limit: %v", doc["detail"])
	}
}

func TestAnIdThatIsNotOursIsNotFound(t *testing.T) {
	s := start(t)
	for _, id := range []string{"art_00000000000000000000000000000000", "x", "%2e%2e", "%00", "..%2f..%2fetc",
		strings.Repeat("a", 5000)} {
		if r := s.call("GET", "/v1/artworks/"+id, nil, nil); r.status != 404 {
			t.Errorf("%.40s: %d %s", id, r.status, r.body)
		}
		if r := s.call("GET", "/v1/jobs/"+id, nil, nil); r.status != 404 {
			t.Errorf("job %.40s: %d %s", id, r.status, r.body)
		}
	}
	s.call("GET", fmt.Sprintf("/v1/artworks/%s?width_mm=wide", "x"), nil, nil).want(t, 400)
}
