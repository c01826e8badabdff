package artwork

import (
	"context"
	"fmt"
	"math"

	"tamis/pkg/color"
	"tamis/pkg/fault"
)

// Kind says what sort of picture artwork is.
type Kind string

// The kinds: few colours with sharp borders, tones, or some of each.
const (
	Flat       Kind = "flat"
	Continuous Kind = "continuous"
	Mixed      Kind = "mixed"
)

// ColorShare is a main colour and its share of the inked area, 0..1.
type ColorShare struct {
	Hex   string  `json:"hex"`
	Share float64 `json:"share"`
}

// Inspection is what Tamis keeps of artwork beside its bytes: enough to plan and price a print without the pixels.
type Inspection struct {
	Kind     Kind         `json:"kind"`
	Colors   []ColorShare `json:"colors"`
	HasAlpha bool         `json:"has_alpha"`
	PPI      float64      `json:"ppi"`
	Width    int          `json:"width"`
	Height   int          `json:"height"`
	Findings []Finding    `json:"findings"`
	Digest   Digest       `json:"digest"`
	Preview  []byte       `json:"preview"` // PNG, RGBA, at most 400 px a side
	Overview Overview     `json:"overview"`
	// Border is the one colour of the opaque artwork's outermost pixels, "" where they have none.
	Border string `json:"border,omitempty"`
	// Key names the artwork for those who keep what they made of it: the hash of its bytes, "" where nobody knows it.
	Key string `json:"-"`
}

// Inspect looks at every pixel once and says what it saw. The result depends on the pixels alone, not on cores. The
// picture may still be arriving; then its fault, if it has one, is given here.
func Inspect(ctx context.Context, img *Image) (*Inspection, error) {
	if err := ctx.Err(); err != nil {
		return nil, fault.Wrap(err, fault.Canceled, "canceled", "the inspection was cancelled")
	}
	digest, err := digestOf(ctx, img)
	if err == nil {
		err = img.Whole()
	}
	if err != nil {
		return nil, err
	}
	small := img.Reduced(previewPX)
	preview, err := previewOf(small)
	if err != nil {
		return nil, err
	}
	i := &Inspection{
		HasAlpha: img.HasAlpha, PPI: img.PPI, Width: img.Width, Height: img.Height,
		Digest: *digest, Preview: preview,
	}
	kind, lines := kindOf(img, digest)
	i.Kind, i.Colors = kind, digest.mainColors(kind, lines)
	overview, err := overviewOf(ctx, img, small, i.Kind, i.Colors)
	if err != nil {
		return nil, err
	}
	i.Overview = *overview
	l := layoutOf(img)
	if l.border != (Box{}) {
		i.Border = color.RGB8{R: l.color[0], G: l.color[1], B: l.color[2]}.Hex()
	}
	i.Findings = append(append([]Finding{}, img.Notes...), l.findings(img, digest)...)
	return i, nil
}

// Resolutions at the print size, pixels per inch: below lowPPI edges and tones look soft at arm's length, below
// poorPPI the pixels show.
//
// Practice: 150 to 300 ppi is asked for at the print size.
const (
	lowPPI  = 150
	poorPPI = 72
	whole   = 1e-6 // what reckoning leaves over whole pixels
)

// AtPrintSize gives the resolution the artwork has when printed widthMM x heightMM (the smaller of the two axes; a
// size of 0 leaves that axis out) and what there is to say about it.
func (i *Inspection) AtPrintSize(widthMM, heightMM float64) (effectivePPI float64, found []Finding) {
	if widthMM > 0 {
		effectivePPI = float64(i.Width) / widthMM * 25.4
	}
	if y := float64(i.Height) / heightMM * 25.4; heightMM > 0 && (effectivePPI == 0 || y < effectivePPI) {
		effectivePPI = y
	}
	if effectivePPI == 0 || effectivePPI >= lowPPI {
		return effectivePPI, nil
	}
	severity, looks := Info, "edges and tones will look soft"
	if i.Kind == Flat {
		looks = "edges will look rounded or stepped"
	}
	if effectivePPI < poorPPI {
		severity, looks = Warning, "its pixels will show"
	}
	return effectivePPI, []Finding{{Code: "low_resolution", Severity: severity, Box: Box{0, 0, i.Width, i.Height},
		Message: fmt.Sprintf("the artwork has %.0f pixels per inch at this print size: %s; %d or more are good",
			effectivePPI, looks, lowPPI),
		Remedy: fmt.Sprintf("send artwork of at least %.0f x %.0f pixels, or print it at no more than %.0f %% of this size",
			math.Ceil(float64(i.Width)*lowPPI/effectivePPI-whole),
			math.Ceil(float64(i.Height)*lowPPI/effectivePPI-whole), math.Floor(100*effectivePPI/lowPPI+whole))}}
}
