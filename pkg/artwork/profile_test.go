package artwork

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

const profiles = "/usr/share/color/icc/"

func profile(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(profiles + name)
	if err != nil {
		t.Fatalf("profile of the Debian packages icc-profiles-free and libgs-common: %v", err)
	}
	return data
}

// littleCMS converts samples 0..255 through a profile to sRGB: relative colorimetric with black point compensation.
func littleCMS(t testing.TB, name string, samples [][]byte) [][3]float64 {
	t.Helper()
	var in bytes.Buffer
	for _, s := range samples {
		for _, v := range s {
			x := float64(v)
			if len(s) == 4 {
				x /= 2.55 // it takes ink in percent
			}
			fmt.Fprintf(&in, "%.6f ", x)
		}
		in.WriteByte('\n')
	}
	cmd := exec.Command("transicc", "-n", "-t1", "-b", "-i", profiles+name, "-o*sRGB")
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("transicc (Debian package liblcms2-utils): %v", err)
	}
	var list [][3]float64
	for line := range strings.Lines(string(out)) {
		f := strings.Fields(line)
		if len(f) != 3 {
			continue
		}
		var v [3]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(f[i], 64); err != nil {
				t.Fatal(err)
			}
			v[i] = min(max(v[i], 0), 255) // transicc leaves floats outside the gamut unclipped
		}
		list = append(list, v)
	}
	if len(list) != len(samples) {
		t.Fatalf("transicc answered %d of %d colours", len(list), len(samples))
	}
	return list
}

func TestEmbeddedProfilesGiveWhatLittleCMSGives(t *testing.T) {
	rows := []struct {
		name                 string
		samples, photometric int
		tol                  float64 // codes; LittleCMS itself works in 16 bits with interpolated curves
	}{
		{
			"compatibleWithAdobeRGB1998.icc",
			3,
			2,
			1,
		}, {"LStar-RGB.icc", 3, 2, 1.5}, {"ghostscript/default_cmyk.icc", 4, 5, 2.5},
		{"Gray.icc", 1, 1, 1}, {"Gray-CIE_L.icc", 1, 1, 1},
	}
	for _, r := range rows {
		rng := rand.New(rand.NewPCG(7, 11))
		var pix []byte
		var samples [][]byte
		for range 400 {
			s := make([]byte, r.samples)
			for i := range s {
				s[i] = byte(rng.IntN(256))
			}
			samples, pix = append(samples, s), append(pix, s...)
		}
		file := simpleTIFF(binary.LittleEndian, 400, 1, r.samples, 8, r.photometric, 0, pix, profile(t, r.name))
		img := decoded(t, file)
		want, worst, at := littleCMS(t, r.name, samples), 0.0, 0
		for i, w := range want {
			for c := range 3 {
				if d := float64(img.Pix[4*i+c]) - w[c]; d > worst || -d > worst {
					worst, at = max(d, -d), i
				}
			}
		}
		t.Logf("%s: within %.2f codes", r.name, worst)
		if worst > r.tol || len(img.Notes) > 0 {
			t.Errorf("%s: %.2f codes off at %v (ours %v, LittleCMS %.2f), limit %g; notes %v",
				r.name, worst, samples[at], img.Pix[4*at:4*at+3], want[at], r.tol, img.Notes)
		}
	}
}

func TestTheProfileIsFoundInEveryFormat(t *testing.T) {
	m := image.NewRGBA(image.Rect(0, 0, 32, 32))
	for i := 0; i < len(m.Pix); i += 4 {
		m.Pix[i], m.Pix[i+1], m.Pix[i+2], m.Pix[i+3] = 40, 200, 60, 255
	}
	icc := profile(t, "compatibleWithAdobeRGB1998.icc")
	want := littleCMS(t, "compatibleWithAdobeRGB1998.icc", [][]byte{{40, 200, 60}})[0]
	var z bytes.Buffer
	w := zlib.NewWriter(&z)
	_, _ = w.Write(icc)
	_ = w.Close()
	half := len(icc) / 2 // in two chunks, the second first
	jpg := jpegSegmented(jpegBytes(t, m, 100), 0xe2, append([]byte("ICC_PROFILE\x00\x01\x02"), icc[:half]...))
	jpg = jpegSegmented(jpg, 0xe2, append([]byte("ICC_PROFILE\x00\x02\x02"), icc[half:]...))
	for name, file := range map[string][]byte{
		"PNG":  pngChunked(pngBytes(t, m), "iCCP", append([]byte("x\x00\x00"), z.Bytes()...)),
		"JPEG": jpg,
	} {
		img := decoded(t, file)
		for c := range 3 {
			if d := float64(img.Pix[c]) - want[c]; d > 3 || d < -3 { // JPEG itself is off by one or two
				t.Errorf("%s: %v, LittleCMS %v", name, img.Pix[:3], want)
				break
			}
		}
	}
}

func TestAProfileThatDoesNotFitIsIgnoredAndSaid(t *testing.T) {
	good := profile(t, "compatibleWithAdobeRGB1998.icc")
	huge := append([]byte{}, good...)
	binary.BigEndian.PutUint32(huge[128:], 0xffffffff) // as many tags
	far := append([]byte{}, good...)
	binary.BigEndian.PutUint32(far[136:], 0x7fffffff) // the first tag outside
	long := append([]byte{}, good...)
	binary.BigEndian.PutUint32(long[bytes.Index(long, []byte("curv"))+8:], 0x7fffffff) // points of a curve
	for name, icc := range map[string][]byte{
		"a curve of 2^31 points": long, "garbage": []byte("not a profile"), "too many tags": huge, "tag outside": far, "cut short": good[:300],
		"of another colour space": profile(t, "ghostscript/default_cmyk.icc"),
	} {
		img := decoded(t, simpleTIFF(binary.LittleEndian, 1, 1, 3, 8, 2, 0, []byte{10, 20, 30}, icc))
		if !bytes.Equal(img.Pix, []byte{10, 20, 30, 255}) || len(img.Notes) != 1 ||
			img.Notes[0].Code != "profile_unusable" {
			t.Errorf("%s: pixel %v, notes %v", name, img.Pix, img.Notes)
		}
	}
}

func TestACMYKJPEGMadeByLittleCMSComesBackAsItsPicture(t *testing.T) {
	m := painted(64, 48, func(x, y int) color.NRGBA {
		return color.NRGBA{uint8(90 + x), uint8(100 + y), uint8(150 - x), 255} // inside the gamut of print
	})
	cmyk := run(t, jpegBytes(t, m, 100), "jpgicc", "-t1", "-b", "-q100", "-e",
		"-o"+profiles+"ghostscript/default_cmyk.icc", "in", "out")
	img := decoded(t, cmyk)
	if len(img.Notes) != 0 {
		t.Errorf("notes %v", img.Notes)
	}
	worst, _ := largestDifference(t, img, m.Pix)
	t.Logf("within %d codes", worst)
	if worst > 12 { // twice through JPEG, once through an 8-bit CMYK table
		t.Errorf("colours differ by %d codes, limit 12", worst)
	}
}
