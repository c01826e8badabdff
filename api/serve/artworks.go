package serve

import (
	"context"
	"io"
	"mime"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/library"
)

// ArtworkDoc is an artwork as callers see it.
type ArtworkDoc struct {
	ID         string        `json:"id" example:"art_0123456789abcdef0123456789abcdef"`
	SHA256     string        `json:"sha256"`
	Bytes      int64         `json:"bytes"`
	MediaType  string        `json:"media_type" example:"image/png"`
	WidthPX    int           `json:"width_px"`
	HeightPX   int           `json:"height_px"`
	PPI        float64       `json:"ppi,omitempty"`
	Vector     bool          `json:"vector"`
	Inspection InspectionDoc `json:"inspection"`
}

// InspectionDoc is what an inspection found. EffectivePPI is there when the call named a print size.
type InspectionDoc struct {
	Kind         string               `json:"kind" enums:"flat,continuous,mixed"`
	Colors       []artwork.ColorShare `json:"colors"`
	HasAlpha     bool                 `json:"has_alpha"`
	EffectivePPI float64              `json:"effective_ppi,omitempty"`
	Findings     []artwork.Finding    `json:"findings"`
}

// postArtwork takes an uploaded picture.
//
//	@Summary		Upload artwork
//	@Description	The body is the file: raw with its Content-Type, or multipart with one part named `file`. PNG, JPEG, TIFF, WebP, GIF (first frame). The id follows from the bytes: the same file again is answered 200. width_mm or height_mm add effective_ppi and the findings of that print size.
//	@Tags			artworks
//	@Accept			png,jpeg,image/tiff,image/webp,gif,mpfd
//	@Produce		json
//	@Param			width_mm	query		number	false	"print width the resolution is judged at"
//	@Param			height_mm	query		number	false	"print height the resolution is judged at"
//	@Success		201			{object}	ArtworkDoc
//	@Success		200			{object}	ArtworkDoc	"this shop holds the same bytes already"
//	@Failure		400,413,415,422,429,503	{object}	Problem
//	@Router			/v1/artworks [post]
func (a *api) postArtwork(c *gin.Context) {
	size, err := printSize(c)
	if err != nil {
		fail(c, err)
		return
	}
	data, declared, err := uploaded(c, a.Limits.MaxBytes)
	if err != nil {
		fail(c, err)
		return
	}
	if len(data) == 0 {
		fail(c, fault.Newf(fault.Malformed, "", "empty_body", "the body is empty; a picture is wanted"))
		return
	}
	if err := a.enterUpload(c.Request.Context()); err != nil {
		fail(c, err)
		return
	}
	defer func() { <-a.uploads }()
	art, created, err := a.Library.SaveArtwork(c.Request.Context(), shopOf(c), data, declared, a.Limits)
	if err != nil {
		fail(c, err)
		return
	}
	kept(c, "/v1/artworks/"+string(art.ID), created, artworkDoc(art, size))
}

// uploadPatience is how long an upload waits for its turn to be decoded before the caller is told to come again.
const uploadPatience = 20 * time.Second

// enterUpload takes a place among the uploads being decoded. The body has been read by then, so a slow caller holds none.
func (a *api) enterUpload(ctx context.Context) error {
	timer := time.NewTimer(uploadPatience)
	defer timer.Stop()
	select {
	case a.uploads <- struct{}{}:
		return nil
	case <-timer.C:
		return fault.Newf(fault.Busy, "", "uploads_busy", "%d uploads are being opened; come again in a moment", uploadsAtOnce)
	case <-ctx.Done():
		return fault.Wrap(ctx.Err(), fault.Canceled, "client_gone", "the caller went away")
	}
}

// getArtwork gives an artwork with its inspection.
//
//	@Summary		An artwork with its inspection
//	@Description	A finding has a code, a severity, a message, what to do (`remedy`) and, where it has a place, `box_px` [x0,y0,x1,y1] in pixels of the artwork from its top left: small_on_canvas, white_box, artwork_empty, low_resolution (with width_mm or height_mm) and what decoding met. What depends on inks, mesh and garment is in the warnings of a quote, with boxes in mm on the print.
//	@Tags			artworks
//	@Produce		json
//	@Param			id			path		string	true	"artwork id"
//	@Param			width_mm	query		number	false	"print width the resolution is judged at"
//	@Param			height_mm	query		number	false	"print height the resolution is judged at"
//	@Success		200			{object}	ArtworkDoc
//	@Failure		400,404,503	{object}	Problem
//	@Router			/v1/artworks/{id} [get]
func (a *api) getArtwork(c *gin.Context) {
	size, err := printSize(c)
	if err != nil {
		fail(c, err)
		return
	}
	art, err := a.Library.Artwork(c.Request.Context(), shopOf(c), library.ArtworkID(c.Param("id")))
	if err != nil {
		fail(c, err)
		return
	}
	conditional(c, artworkDoc(art, size))
}

func artworkDoc(a library.Artwork, size [2]float64) ArtworkDoc {
	i := a.Inspection
	ppi, more := i.AtPrintSize(size[0], size[1])
	return ArtworkDoc{ID: string(a.ID), SHA256: a.SHA256, Bytes: a.Bytes, MediaType: a.MediaType, WidthPX: a.WidthPX,
		HeightPX: a.HeightPX, PPI: a.PPI, Vector: a.Vector, Inspection: InspectionDoc{Kind: string(i.Kind),
			Colors: append([]artwork.ColorShare{}, i.Colors...), HasAlpha: i.HasAlpha, EffectivePPI: ppi,
			Findings: append(append([]artwork.Finding{}, i.Findings...), more...)}}
}

// printSize reads width_mm and height_mm of the query, zero where not given.
func printSize(c *gin.Context) (size [2]float64, err error) {
	for i, name := range []string{"width_mm", "height_mm"} {
		text := c.Query(name)
		if text == "" {
			continue
		}
		size[i], err = strconv.ParseFloat(text, 64)
		if err != nil || !(size[i] >= 5 && size[i] <= 3000) {
			return size, fault.Newf(fault.Malformed, "", "query", "%s is %.40q; 5 to 3000 mm can be", name, text)
		}
	}
	return size, nil
}

// uploaded reads the artwork's bytes and the type the caller declares for them.
func uploaded(c *gin.Context, most int64) (data []byte, declared string, err error) {
	media, params, err := mime.ParseMediaType(c.GetHeader("Content-Type"))
	if c.GetHeader("Content-Type") == "" {
		media, err = "", nil
	}
	if err != nil {
		return nil, "", fault.Newf(fault.Malformed, "", "content_type", "the Content-Type cannot be read")
	}
	if media != "multipart/form-data" {
		data, err = readAll(c, most)
		return data, media, err
	}
	const envelope = 64 << 10 // part headers and other fields around the file
	if c.Request.ContentLength > most+envelope {
		return nil, "", tooLarge(c.Request.ContentLength, most)
	}
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, most+envelope)
	return filePart(c, params["boundary"], most)
}

// filePart finds the part named file; other parts are passed over.
func filePart(c *gin.Context, boundary string, most int64) (data []byte, declared string, err error) {
	if boundary == "" {
		return nil, "", fault.Newf(fault.Malformed, "", "multipart", "the multipart body has no boundary")
	}
	parts, err := c.Request.MultipartReader()
	if err != nil {
		return nil, "", fault.Newf(fault.Malformed, "", "multipart", "the multipart body cannot be read")
	}
	for {
		part, err := parts.NextPart()
		if err == io.EOF {
			return nil, "", fault.Newf(fault.Malformed, "/file", "missing", "the multipart body has no part named file")
		}
		if err != nil {
			return nil, "", readFault(err)
		}
		if part.FormName() == "file" {
			data, err := readBounded(part, pace(c), c.Request.ContentLength, most)
			return data, part.Header.Get("Content-Type"), err
		}
		if _, err := io.Copy(io.Discard, part); err != nil {
			return nil, "", readFault(err)
		}
	}
}
