package artwork_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"

	"tamis/pkg/artwork"
)

func Example() {
	art := image.NewNRGBA(image.Rect(0, 0, 600, 400))
	draw.Draw(
		art,
		image.Rect(100, 100, 500, 300),
		image.NewUniform(color.NRGBA{200, 30, 40, 255}),
		image.Point{},
		draw.Src,
	)
	var file bytes.Buffer
	_ = png.Encode(&file, art)

	ctx := context.Background()
	img, err := artwork.Decode(ctx, file.Bytes(), artwork.Limits{MaxPixels: 1e6})
	if err != nil {
		fmt.Println(err)
		return
	}
	insp, _ := artwork.Inspect(ctx, img)
	ppi, _ := insp.AtPrintSize(50.8, 0)
	fmt.Println(insp.Kind, insp.Colors[0].Hex, insp.Findings[0].Code, ppi)
	_, err = artwork.Decode(ctx, file.Bytes(), artwork.Limits{MaxPixels: 1000})
	fmt.Println(err)
	// Output:
	// flat #c81e28 small_on_canvas 300
	// the artwork is 600 x 400 = 240000 pixels; the limit is 1000
}
