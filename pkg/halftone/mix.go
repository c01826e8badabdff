package halftone

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tamis/pkg/fault"
)

// MixPart is one dot of a mix and the tone, 0..1, at which dots look like it.
type MixPart struct {
	Dot Dot
	At  float64
}

// Mix is a run of dots over the tones, in one form, so that a Spec with a mix can be compared: NewMix makes it, Parts
// reads it. Between two tones the shape passes from one dot to the next; below the first and above the last it is that
// dot's own. What a lighter tone has inked stays inked, where a later dot would leave it bare. The zero value is no mix.
type Mix string

// A mix has mixLeast to mixMost dots. Ours: a shape passes through three or four; more cannot be told apart.
const (
	mixLeast = 2
	mixMost  = 8
)

// NewMix makes a mix of 2 to 8 dots at rising tones. Every part that cannot be is named: fault.Invalid at
// /halftone/mix or /halftone/mix/<n>/dot or /at. A mix is no part of a mix.
func NewMix(parts []MixPart) (Mix, error) {
	var c fault.Checker
	if len(parts) < mixLeast || len(parts) > mixMost {
		c.Addf("/halftone/mix", "mix_parts", "%d dots; a mix has %d to %d", len(parts), mixLeast, mixMost)
	}
	for n, p := range parts {
		field := "/halftone/mix/" + strconv.Itoa(n)
		if _, known := p.Dot.Spot(0, 0); !known {
			c.Addf(field+"/dot", "dot_unknown", "dot %q is none that can be mixed", p.Dot)
		}
		c.Between(field+"/at", p.At, 0, 1, "")
		if n > 0 && p.At <= parts[n-1].At {
			c.Addf(field+"/at", "mix_order", "tone %g does not rise above the %g before it", p.At, parts[n-1].At)
		}
	}
	if err := c.Err(); err != nil {
		return "", err
	}
	texts := make([]string, len(parts))
	for n, p := range parts {
		texts[n] = string(p.Dot) + "@" + strconv.FormatFloat(p.At, 'g', -1, 64)
	}
	return Mix(strings.Join(texts, ",")), nil
}

// Parts reads a mix back. One that NewMix did not make is fault.Invalid at /halftone/mix.
func (m Mix) Parts() ([]MixPart, error) {
	if m == "" {
		return nil, fault.Invalidf("/halftone/mix", "mix_missing", "the dot %q wants a mix of %d dots or more", DotMix,
			mixLeast)
	}
	var parts []MixPart
	for _, text := range strings.Split(string(m), ",") {
		name, at, _ := strings.Cut(text, "@")
		tone, err := strconv.ParseFloat(at, 64)
		if err != nil {
			return nil, fault.Invalidf("/halftone/mix", "mix_form", "%.40q is not a dot and a tone", text)
		}
		parts = append(parts, MixPart{Dot(name), tone})
	}
	if made, err := NewMix(parts); err != nil || made != m {
		return nil, fault.Invalidf("/halftone/mix", "mix_form", "%.80q is not a mix in its one form", string(m))
	}
	return parts, nil
}

// parts gives what a dot is mixed from; one part for a spot function of its own. The specification has been checked.
func (s *Spec) parts() []MixPart {
	switch s.Dot {
	case DotMix:
		parts, err := s.Mix.Parts()
		if err != nil {
			panic(fmt.Sprintf("halftone: an unchecked mix: %v", err))
		}
		return parts
	case DotRoundSquare:
		return roundSquare()
	}
	return []MixPart{{s.Dot, 0}}
}

// roundSquare is the usual mix: discs, a chessboard of squares at mid-tone, round holes. Unlike DotRound, whose shape
// changes at once where its discs reach the edge of the square, corners sharpen and blunt over a quarter of the tones.
//
// Practice: round, square, round is what printers call for; Ours: where each shape is reached.
func roundSquare() []MixPart {
	return []MixPart{{DotSimple, 0.25}, {DotCosine, 0.5}, {DotRound, 0.75}}
}

// dotOrder ranks the entries of a supercell's strip by the dot, mixed or not: the first to ink is 0. The supercell is
// the small one laid side by side.
func dotOrder(small, large supercell, parts []MixPart) []uint32 {
	o := newOrdering(small, large)
	first := o.by(parts[0].Dot)
	if len(parts) == 1 {
		return first
	}
	orders := [][]uint32{first}
	for _, p := range parts[1:] {
		orders = append(orders, o.by(p.Dot))
	}
	keys, tones := make([]uint64, len(first)), make([]float64, len(parts))
	for at := range keys {
		for n, order := range orders {
			tones[n] = (float64(order[at]) + 0.5) / float64(len(first))
		}
		keys[at] = uint64(math.Round(mixedTone(parts, tones) * (1 << 40)))
	}
	return rankBy(keys)
}

// mixedTone is the tone at which an entry inks that would ink at tones[n] under the n-th dot alone: the least t that the
// blend of the two dots about t reaches. Both blend and t run in straight lines between two parts, so it is found by a
// division; rounding is per step, the same on every machine.
func mixedTone(parts []MixPart, tones []float64) float64 {
	if tones[0] <= parts[0].At {
		return tones[0]
	}
	last := len(parts) - 1
	for n := range last {
		if tones[n+1] > parts[n+1].At {
			continue // still bare where the next dot holds alone
		}
		span := parts[n+1].At - parts[n].At
		s := (tones[n] - parts[n].At) / (span - (tones[n+1] - tones[n]))
		return parts[n].At + float64(min(max(s, 0), 1)*span)
	}
	return tones[last]
}
