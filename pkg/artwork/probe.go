package artwork

import (
	"bytes"
	"mime"

	"tamis/pkg/fault"
)

// maxSide is the longest side we read, in pixels: past it a row alone is a burden and PNG and TIFF headers are
// nearly always hostile. It is over 30 inches at 1440 ppi.
const maxSide = 65535

// format is one kind of file we read.
type format struct {
	mediaType string
	matches   func(data []byte) bool
	header    func(data []byte) (Header, error)
	decode    func(data []byte, h Header) (*raw, error)
}

// formats lists what we read, in the order the magic bytes are tried.
func formats() []format {
	return []format{
		{"image/png", prefixed("\x89PNG\r\n\x1a\n"), pngHeader, decodePNG},
		{"image/jpeg", prefixed("\xff\xd8\xff"), jpegHeader, decodeJPEG},
		{"image/tiff", isTIFF, tiffHeader, decodeTIFF},
		{"image/webp", isWebP, webpHeader, decodeWebP},
		{"image/gif", prefixed("GIF8"), gifHeader, decodeGIF},
	}
}

func prefixed(magic string) func([]byte) bool {
	return func(data []byte) bool { return bytes.HasPrefix(data, []byte(magic)) }
}

func isTIFF(data []byte) bool {
	return bytes.HasPrefix(data, []byte("II*\x00")) || bytes.HasPrefix(data, []byte("MM\x00*"))
}

func isWebP(data []byte) bool {
	return len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP"
}

// Probe reads the header of data and holds it against the limits, allocating nothing that grows with the picture.
//
// declaredType is what the sender says it is; "" and "application/octet-stream" say nothing. A type that is not the
// file's own, or a file of none of our formats, is fault.Unsupported; too many bytes or pixels fault.TooLarge; a
// header that cannot be read fault.Invalid.
func Probe(data []byte, declaredType string, lim Limits) (Header, error) {
	h, _, err := probe(data, declaredType, lim)
	return h, err
}

func probe(data []byte, declaredType string, lim Limits) (Header, format, error) {
	if lim.MaxBytes > 0 && int64(len(data)) > lim.MaxBytes {
		return Header{}, format{}, fault.Newf(fault.TooLarge, "", "artwork_too_many_bytes",
			"the artwork has %d bytes; the limit is %d", len(data), lim.MaxBytes)
	}
	f, err := recognise(data, declaredType)
	if err != nil {
		return Header{}, f, err
	}
	h, err := f.header(data)
	if err != nil {
		return Header{}, f, err
	}
	h.MediaType = f.mediaType
	return h, f, h.check(lim)
}

// recognise finds the format by its first bytes and holds the declared type against it.
func recognise(data []byte, declaredType string) (format, error) {
	for _, f := range formats() {
		if !f.matches(data) {
			continue
		}
		if declared := plainType(declaredType); declared != "" && declared != f.mediaType {
			return f, fault.Newf(fault.Unsupported, "", "media_type_mismatch",
				"the artwork was sent as %s but is %s", declared, f.mediaType)
		}
		return f, nil
	}
	return format{}, fault.Newf(fault.Unsupported, "", "media_type_unknown",
		"the artwork is not PNG, JPEG, TIFF, WebP or GIF")
}

// plainType strips parameters and old names; "" where nothing is declared.
func plainType(declared string) string {
	t, _, err := mime.ParseMediaType(declared)
	if err != nil {
		t = declared
	}
	switch t {
	case "application/octet-stream":
		return ""
	case "image/jpg":
		return "image/jpeg"
	case "image/tif":
		return "image/tiff"
	}
	return t
}

// check holds the size against the limits.
func (h Header) check(lim Limits) error {
	if h.Width <= 0 || h.Height <= 0 {
		return fault.Invalidf(
			"",
			"artwork_without_pixels",
			"the artwork says it is %d x %d pixels",
			h.Width,
			h.Height,
		)
	}
	if h.Width > maxSide || h.Height > maxSide {
		return fault.Newf(fault.TooLarge, "", "artwork_too_long",
			"the artwork is %d x %d pixels; the limit is %d a side", h.Width, h.Height, maxSide)
	}
	if n := int64(h.Width) * int64(h.Height); lim.MaxPixels > 0 && n > lim.MaxPixels {
		return fault.Newf(fault.TooLarge, "", "artwork_too_many_pixels",
			"the artwork is %d x %d = %d pixels; the limit is %d", h.Width, h.Height, n, lim.MaxPixels)
	}
	return nil
}

// broken is the fault of a file that cannot be read, with what was wrong.
func broken(what string, err error) error {
	return &fault.Error{
		Kind: fault.Invalid,
		Code: "artwork_unreadable",
		Msg:  "the artwork cannot be read: " + what,
		Err:  err,
	}
}
