package serve_test

import (
	"fmt"
	"os"
	"testing"
)

func TestAnUploadedProfileSeparatesAnOrder(t *testing.T) {
	s := start(t)
	data, err := os.ReadFile("/usr/share/color/icc/ghostscript/default_cmyk.icc") // Debian package libgs-common
	if err != nil {
		t.Fatal(err)
	}
	as := map[string]string{"Content-Type": "application/vnd.iccprofile"}
	made := s.call("POST", "/v1/shop/profiles", as, data).want(t, 201)
	again := s.call("POST", "/v1/shop/profiles", as, data).want(t, 200)
	if made["id"] != again["id"] || made["color_space"] != "CMYK" {
		t.Errorf("%v then %v", made, again)
	}
	id := made["id"].(string)
	s.call("GET", "/v1/shop/profiles/"+id, nil, nil).want(t, 200)
	s.call("GET", "/v1/shop/profiles/icc_"+"00000000000000000000000000000000", nil, nil).want(t, 404)
	s.call("POST", "/v1/shop/profiles", as, data[:500]).want(t, 422)
	s.call("POST", "/v1/shop/profiles", as, make([]byte, 9<<20)).want(t, 413)

	art := s.upload(flatPNG(t, 50))
	ask := func(profile, garment string) reply {
		return s.call("POST", "/v1/quotes", nil, fmt.Appendf(nil, `{"artwork_id":%q,"print":{"width_mm":100},"quantity":10,
			"garment":{"color":%q,"unit_cost":"2"},"separation":{"method":"process","profile":%q}}`, art, garment, profile))
	}
	quote := ask(id, "#ffffff").want(t, 200)
	if n := len(quote["plan"].(map[string]any)["plates"].([]any)); n != 4 {
		t.Errorf("%d plates", n)
	}
	ask(id, "#101010").want(t, 422)
	ask("icc_11111111111111111111111111111111", "#ffffff").want(t, 422)
}
