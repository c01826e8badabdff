package color_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"

	"tamis/pkg/color"
	"tamis/pkg/fault"
)

// cmykProfile is a CMYK output profile that the Debian package libgs-common brings.
const cmykProfile = "/usr/share/color/icc/ghostscript/default_cmyk.icc"

func output(t testing.TB) *color.Output {
	t.Helper()
	data, err := os.ReadFile(cmykProfile)
	if err != nil {
		t.Fatal(err)
	}
	o, err := color.ParseOutput(data)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestAnOutputProfileGivesTheInksThatLittleCMSGives(t *testing.T) {
	o := output(t)
	var asked strings.Builder
	var labs []color.Lab
	for l := 5.0; l <= 100; l += 19 {
		for a := -50.0; a <= 50; a += 25 {
			for b := -50.0; b <= 50; b += 25 {
				labs = append(labs, color.Lab{L: l, A: a, B: b})
				fmt.Fprintf(&asked, "%g %g %g\n", l, a, b)
			}
		}
	}
	cmd := exec.Command("transicc", "-i*Lab4", "-o"+cmykProfile, "-t1", "-b", "-n", "-c0")
	cmd.Stdin = strings.NewReader(asked.String())
	said, err := cmd.Output()
	if err != nil {
		t.Fatalf("transicc (Debian package liblcms2-utils): %v", err)
	}
	lines := strings.Split(strings.TrimSpace(string(said)), "\n")
	if len(lines) != len(labs) {
		t.Fatalf("%d answers for %d colours", len(lines), len(labs))
	}
	worst := 0.0
	for i, line := range lines {
		var want [4]float64
		if _, err := fmt.Sscan(line, &want[0], &want[1], &want[2], &want[3]); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		for k, v := range o.CMYK(labs[i]) {
			if d := math.Abs(100*v - want[k]); d > worst {
				worst = d
			}
		}
	}
	t.Logf("%d colours, at most %.2f %% of coverage apart", len(labs), worst)
	if worst > 0.5 {
		t.Errorf("%.2f %% of coverage apart, limit 0.5", worst)
	}
}

func TestProfilesOfOtherKindsAreRefused(t *testing.T) {
	whole, err := os.ReadFile(cmykProfile)
	if err != nil {
		t.Fatal(err)
	}
	display, err := os.ReadFile("/usr/share/color/icc/sRGB.icc")
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string][]byte{"nothing": nil, "a display": display, "half of one": whole[:len(whole)/2],
		"words": []byte(strings.Repeat("not a profile ", 40))}
	for name, data := range rows {
		if _, err := color.ParseOutput(data); !fault.Is(err, fault.Invalid) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzParseOutput(f *testing.F) {
	whole, err := os.ReadFile(cmykProfile)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(uint32(0), byte(0))
	f.Add(uint32(128), byte(255))
	f.Add(uint32(40000), byte(7))
	f.Fuzz(func(t *testing.T, at uint32, v byte) {
		data := append([]byte{}, whole...)
		for k := range uint32(8) {
			data[(at+k*977)%uint32(len(data))] = v + byte(k)
		}
		o, err := color.ParseOutput(data)
		if err != nil {
			if !fault.Is(err, fault.Invalid) {
				t.Fatal(err)
			}
			return
		}
		for _, c := range o.CMYK(color.Lab{L: 40, A: 20, B: -30}) {
			if !(c >= 0 && c <= 1) {
				t.Fatalf("coverage %g", c)
			}
		}
	})
}
