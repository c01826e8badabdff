package halftone

import (
	"slices"
	"strings"
	"testing"

	"tamis/pkg/fault"
)

// mustMix makes a mix or ends the test.
func mustMix(t testing.TB, parts ...MixPart) Mix {
	t.Helper()
	m, err := NewMix(parts)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// unlike is the share of pixels in which two screens of one grid differ at a tone.
func unlike(a, b *Screen, tone float64) float64 {
	const n = 300
	p, q := flat(a, tone, n, 1, 1), flat(b, tone, n, 1, 1)
	differ := 0
	for i := range p {
		if p[i] != q[i] {
			differ++
		}
	}
	return float64(differ) / (n * n)
}

func TestAMixLooksLikeEachDotAtItsTone(t *testing.T) {
	plain := func(d Dot) *Screen {
		return mustNew(t, Spec{Kind: AM, FreqLPI: 25, AngleDeg: 22.5, XDPI: 720, YDPI: 720, Dot: d})
	}
	mixed := mustNew(t, Spec{Kind: AM, FreqLPI: 25, AngleDeg: 22.5, XDPI: 720, YDPI: 720, Dot: DotMix,
		Mix: mustMix(t, MixPart{DotSimple, 0.2}, MixPart{DotSquare, 0.5}, MixPart{DotRound, 0.9})})
	const tolerance = 0.004 // of the pixels: one step of tone on a dot's rim, and the tie of two pixels
	for _, c := range []struct {
		tone float64
		dot  Dot
	}{{0.05, DotSimple}, {0.2, DotSimple}, {0.5, DotSquare}, {0.9, DotRound}, {0.95, DotRound}} {
		if got := unlike(mixed, plain(c.dot), c.tone); got > tolerance {
			t.Errorf("at %g the mix differs from %s in %.4f of the pixels (tolerance %g)", c.tone, c.dot, got, tolerance)
		}
	}
	for _, between := range []float64{0.35, 0.7} { // it is neither of its neighbours
		if unlike(mixed, plain(DotSquare), between) < tolerance || unlike(mixed, plain(DotRound), between) < tolerance {
			t.Errorf("at %g the mix is one of its dots", between)
		}
	}
	usual := mustNew(t, Spec{Kind: AM, FreqLPI: 25, AngleDeg: 22.5, XDPI: 720, YDPI: 720, Dot: DotRoundSquare})
	for tone, dot := range map[float64]Dot{0.1: DotSimple, 0.5: DotCosine, 0.9: DotRound} {
		if got := unlike(usual, plain(dot), tone); got > tolerance {
			t.Errorf("at %g round_square differs from %s in %.4f of the pixels", tone, dot, got)
		}
	}
}

func TestAMixHasOneFormAndReadsBack(t *testing.T) {
	parts := []MixPart{{DotRound, 0}, {DotEllipse, 0.1 + 0.2}, {DotDiamond, 1}}
	m := mustMix(t, parts...)
	back, err := m.Parts()
	if err != nil || !slices.Equal(back, parts) {
		t.Errorf("%q reads back as %v, %v", m, back, err)
	}
	if m != mustMix(t, back...) {
		t.Error("the same parts made another mix")
	}
	for _, foreign := range []Mix{"", "round", "round@0.1", "round@0.10,square@0.5", "round@x,square@0.5"} {
		if _, err := foreign.Parts(); !fault.Is(err, fault.Invalid) || fault.Of(err).Field != "/halftone/mix" {
			t.Errorf("%q: %v, want an Invalid fault at /halftone/mix", foreign, err)
		}
	}
}

func TestEveryPartOfAMixThatCannotBeIsNamed(t *testing.T) {
	_, err := NewMix([]MixPart{{DotRound, 0.5}, {"heart", 0.4}, {DotMix, 2}})
	var fields []string
	for _, f := range fault.All(err) {
		fields = append(fields, f.Field)
	}
	want := "/halftone/mix/1/dot /halftone/mix/1/at /halftone/mix/2/dot /halftone/mix/2/at"
	if got := strings.Join(fields, " "); got != want {
		t.Errorf("faults at %s, want %s", got, want)
	}
	if _, err := NewMix([]MixPart{{DotRound, 0.5}}); !fault.Is(err, fault.Invalid) {
		t.Errorf("one dot is a mix: %v", err)
	}
}

// FuzzMixReadsBack: whatever text is taken for a mix is the one form of what it holds.
func FuzzMixReadsBack(f *testing.F) {
	for _, seed := range []string{"round@0,square@1", "simple@0.25,cosine@0.5,round@0.75", "round@1e-3,line@0.5",
		"@,@", ""} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		parts, err := Mix(text).Parts()
		if err != nil {
			if !fault.Is(err, fault.Invalid) {
				t.Fatalf("%q: %v", text, err)
			}
			return
		}
		if again, err := NewMix(parts); err != nil || again != Mix(text) {
			t.Errorf("%q holds %v, whose form is %q, %v", text, parts, again, err)
		}
	})
}
