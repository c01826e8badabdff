package color

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/pkg/fault"
)

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func TestSRGBGivesTheLabAndOKLabOfReferencePrograms(t *testing.T) {
	const source = "LittleCMS 2.14 transicc, 4 decimals; OKLab computed apart from Ottosson's matrices"
	rows := []struct {
		rgb  RGB8
		lab  Lab
		ok   OKLab
		tol  float64 // of Lab
		tolO float64
	}{
		{RGB8{255, 255, 255}, Lab{100, 0, 0}, OKLab{1, 0, 0}, 0.01, 1e-4},
		{RGB8{255, 0, 0}, Lab{54.2896, 80.8144, 69.8897}, OKLab{0.627955, 0.224863, 0.125846}, 0.01, 1e-4},
		{RGB8{0, 255, 0}, Lab{87.8194, -79.2749, 80.9927}, OKLab{0.866440, -0.233888, 0.179498}, 0.01, 1e-4},
		{RGB8{0, 0, 255}, Lab{29.5659, 68.2862, -112.0329}, OKLab{0.452014, -0.032457, -0.311528}, 0.01, 1e-4},
		{
			RGB8{0, 255, 255},
			Lab{90.6664, -50.6630, -14.9610},
			OKLab{0.905399, -0.149444, -0.039398},
			0.01,
			1e-4,
		},
		{RGB8{255, 0, 255}, Lab{60.1673, 93.5467, -60.5027}, OKLab{0.701674, 0.274566, -0.169156}, 0.01, 1e-4},
		{RGB8{255, 255, 0}, Lab{97.6074, -15.7479, 93.3913}, OKLab{0.967983, -0.071369, 0.198570}, 0.01, 1e-4},
		{RGB8{128, 128, 128}, Lab{53.5850, 0, 0}, OKLab{0.599871, 0, 0}, 0.01, 1e-4},
		{RGB8{23, 24, 26}, Lab{8.2008, -0.0962, -1.5909}, OKLab{0.208789, -0.000408, -0.004215}, 0.01, 1e-4},
		{RGB8{10, 10, 10}, Lab{2.7417, 0, 0}, OKLab{0.144788, 0, 0}, 0.01, 1e-4},
		{RGB8{255, 128, 0}, Lab{67.8164, 45.4947, 74.8388}, OKLab{0.731895, 0.111859, 0.148359}, 0.01, 1e-4},
	}
	for _, r := range rows {
		if g := r.rgb.Lab(); !near(g.L, r.lab.L, r.tol) || !near(g.A, r.lab.A, r.tol) ||
			!near(g.B, r.lab.B, r.tol) {
			t.Errorf("%s: Lab %v, want %v within %g (%s)", r.rgb.Hex(), g, r.lab, r.tol, source)
		}
		if g := r.rgb.OKLab(); !near(g.L, r.ok.L, r.tolO) || !near(g.A, r.ok.A, r.tolO) ||
			!near(g.B, r.ok.B, r.tolO) {
			t.Errorf("%s: OKLab %v, want %v within %g (%s)", r.rgb.Hex(), g, r.ok, r.tolO, source)
		}
	}
}

// transicc converts sRGB codes to Lab by LittleCMS, relative colorimetric.
func transicc(t *testing.T, colors []RGB8) []Lab {
	t.Helper()
	var in bytes.Buffer
	for _, c := range colors {
		fmt.Fprintf(&in, "%d %d %d\n", c.R, c.G, c.B)
	}
	cmd := exec.Command("transicc", "-n", "-t1", "-i*sRGB", "-o*Lab4")
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("transicc (Debian package liblcms2-utils): %v", err)
	}
	var list []Lab
	sc := bufio.NewScanner(bytes.NewReader(out))
	for sc.Scan() {
		f := strings.Fields(sc.Text())
		if len(f) != 3 {
			continue
		}
		var v [3]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(f[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		list = append(list, Lab{v[0], v[1], v[2]})
	}
	return list
}

func TestSRGBToLabAgreesWithLittleCMSOverTheWholeCube(t *testing.T) {
	var colors []RGB8
	for r := 0; r < 256; r += 51 {
		for g := 0; g < 256; g += 51 {
			for b := 0; b < 256; b += 51 {
				colors = append(colors, RGB8{uint8(r), uint8(g), uint8(b)})
			}
		}
	}
	want := transicc(t, colors)
	if len(want) != len(colors) {
		t.Fatalf("transicc answered %d of %d colours", len(want), len(colors))
	}
	for i, c := range colors {
		g, w := c.Lab(), want[i]
		if !near(g.L, w.L, 0.01) || !near(g.A, w.A, 0.02) || !near(g.B, w.B, 0.02) {
			t.Errorf("%s: %v, LittleCMS %v", c.Hex(), g, w)
		}
	}
}

func TestEveryCodeComesBackThroughLabAndOKLab(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := RGB8{rapid.Uint8().Draw(t, "r"), rapid.Uint8().Draw(t, "g"), rapid.Uint8().Draw(t, "b")}
		if back := c.Lab().RGB8(); back != c {
			t.Fatalf("%s through Lab is %s", c.Hex(), back.Hex())
		}
		if back := c.OKLab().Linear().RGB8(); back != c {
			t.Fatalf("%s through OKLab is %s", c.Hex(), back.Hex())
		}
		if back, err := ParseHex(c.Hex()); err != nil || back != c {
			t.Fatalf("%s reads as %v, %v", c.Hex(), back, err)
		}
	})
}

func TestOKLabGivesOttossonsTable(t *testing.T) {
	const source = "Ottosson 2020, example table (three decimals)"
	rows := []struct {
		in   XYZ
		want OKLab
	}{
		{XYZ{0.950, 1.000, 1.089}, OKLab{1.000, 0.000, 0.000}},
		{XYZ{1, 0, 0}, OKLab{0.450, 1.236, -0.019}},
		{XYZ{0, 1, 0}, OKLab{0.922, -0.671, 0.263}},
		{XYZ{0, 0, 1}, OKLab{0.153, -1.415, -0.449}},
	}
	for _, r := range rows {
		g := OKLabD65(r.in)
		if !near(g.L, r.want.L, 1e-3) || !near(g.A, r.want.A, 1e-3) || !near(g.B, r.want.B, 1e-3) {
			t.Errorf("%v: %v, want %v within 1e-3 (%s)", r.in, g, r.want, source)
		}
	}
}

func TestLabOfXYZAgreesWithThe1617PatchesOfFOGRA39(t *testing.T) {
	data, err := os.ReadFile("/usr/share/color/icc/FOGRA39L.ti3")
	if err != nil {
		t.Fatalf("characterisation data of the Debian package icc-profiles-free: %v", err)
	}
	worst, sum, n := 0.0, 0.0, 0
	for line := range strings.Lines(string(data)) {
		f := strings.Fields(line)
		if len(f) != 11 {
			continue
		}
		var v [11]float64
		ok := true
		for i := 1; i < 11 && ok; i++ {
			v[i], err = strconv.ParseFloat(f[i], 64)
			ok = err == nil
		}
		if !ok {
			continue
		}
		g := XYZ{v[5] / 100, v[6] / 100, v[7] / 100}.Lab()
		for _, d := range []float64{g.L - v[8], g.A - v[9], g.B - v[10]} {
			worst, sum = max(worst, math.Abs(d)), sum+math.Abs(d)
		}
		n++
	}
	if n != 1617 {
		t.Fatalf("%d patches read, the set has 1617", n)
	}
	if mean := sum / float64(3*n); worst > 0.3 || mean > 0.03 {
		t.Errorf(
			"worst %.3f (limit 0.3), mean %.4f (limit 0.03): the set's XYZ are rounded to 0.01",
			worst,
			mean,
		)
	}
}

func TestLabSlopeIsTheDerivative(t *testing.T) {
	for _, x := range []XYZ{{0.2, 0.3, 0.1}, {0.001, 0.002, 0.0005}, {0.9, 1, 0.8}} {
		_, s := x.LabSlope()
		const h = 1e-7
		y := x
		y.Y += h
		if want := (y.Lab().L - x.Lab().L) / h; !near(116*s.Y, want, 1e-3*math.Abs(want)) {
			t.Errorf("dL/dY at %v is %g, by difference %g", x, 116*s.Y, want)
		}
	}
}

func TestParseHexRefusesEverythingElse(t *testing.T) {
	bad := strings.Split(",#,#fff,#gg0000,123,#1234567,+12345,#-12345,red,# 12345,1234567", ",")
	for _, s := range bad {
		if c, err := ParseHex(s); !fault.Is(err, fault.Invalid) {
			t.Errorf("%q reads as %v, %v", s, c, err)
		}
	}
}

func TestNearestTakesTheFirstOfEquals(t *testing.T) {
	list := []OKLab{{L: 0.5}, {L: 0.7}, {L: 0.5}}
	if at, d := (OKLab{L: 0.55}).Nearest(list); at != 0 || math.Abs(d-0.05) > 1e-12 {
		t.Errorf("place %d at %g", at, d)
	}
	if at, d := (OKLab{}).Nearest(nil); at != -1 || !math.IsInf(d, 1) {
		t.Errorf("of none: place %d at %g", at, d)
	}
}

func TestTheEncoderIsTheCurve(t *testing.T) {
	e := NewEncoder()
	for i := -100; i <= 70000; i++ {
		v := float64(i) / 65535
		if got, want := e.RGB8(Linear{R: v}), (Linear{R: v}).RGB8(); got != want {
			t.Fatalf("%.6f: code %d, by the curve %d", v, got.R, want.R)
		}
	}
}
