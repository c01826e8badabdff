// Package artwork opens the pictures customers send: it recognises the format, holds limits before memory is spent,
// decodes, manages colour, and says what it saw.
//
// What goes in: the bytes of a PNG, JPEG, TIFF, WebP or GIF. What comes out: straight sRGB pixels (Image), and an
// Inspection: a document with a digest of colours and an overview of places, from which a print can be planned, priced
// and warned of without the pixels.
//
// It refuses: types told wrongly, headers that promise more pixels than allowed (before a pixel is allocated), files
// cut short, and profiles whose tables point outside themselves. A panic of a decoder is the file's fault, not ours.
// It knows nothing of inks, plates or prices.
//
// Sources: PNG 1.2 / ISO 15948, JFIF 1.02, EXIF 2.3, TIFF 6.0, ISO 15076-1 (ICC).
package artwork

// Limits bound what is opened. Zero means no limit of that sort.
type Limits struct {
	MaxBytes  int64 // of the file
	MaxPixels int64 // width x height
}

// Header is what a file says of itself before any pixel is decoded.
type Header struct {
	MediaType     string // "image/png", "image/jpeg", "image/tiff", "image/webp", "image/gif"
	Width, Height int    // as stored; an EXIF orientation may turn the decoded picture
	PPI           float64
}

// Image is decoded artwork: RGBA, straight (not premultiplied), sRGB, 4 bytes a pixel, rows top down, no padding. Of one
// that Open gave, rows must be awaited (Await), and until it is whole (Whole) HasAlpha is not known.
type Image struct {
	Width, Height int
	Pix           []uint8
	HasAlpha      bool    // some pixel is not opaque
	PPI           float64 // pixels per inch the file names along x; 0 unknown
	Notes         []Finding

	arrival *arrival // nil: the picture is whole
}

// Severity says how much a finding matters.
type Severity string

// The severities.
const (
	Info    Severity = "info"
	Warning Severity = "warning"
)

// Finding is something about artwork a person should know: data, not an error. Codes are stable.
//
// Hex is the artwork's colour it is about, where it is about one; Box where in the artwork it is, the zero Box where it
// has no place; Remedy a sentence on what to do.
type Finding struct {
	Code     string   `json:"code"`
	Severity Severity `json:"severity"`
	Message  string   `json:"message"`
	Remedy   string   `json:"remedy,omitempty"`
	Box      Box      `json:"box_px,omitzero"`
	Hex      string   `json:"hex,omitempty"`
}
