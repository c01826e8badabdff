package separate_test

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"

	"tamis/pkg/artwork"
	col "tamis/pkg/color"
	"tamis/pkg/ink"
	"tamis/pkg/separate"
)

func Example() {
	art := image.NewNRGBA(image.Rect(0, 0, 300, 200))
	draw.Draw(
		art,
		image.Rect(50, 50, 250, 150),
		image.NewUniform(color.NRGBA{200, 30, 40, 255}),
		image.Point{},
		draw.Src,
	)
	img := &artwork.Image{Width: 300, Height: 200, Pix: art.Pix, HasAlpha: true}
	ctx := context.Background()
	insp, _ := artwork.Inspect(ctx, img)

	recipe, err := separate.Choose(insp, separate.Request{
		Inks: []ink.Ink{
			{ID: "white", Name: "White", OverWhite: col.Lab{L: 94}, OverBlack: col.Lab{L: 88}},
			{
				ID:        "red",
				Name:      "Red",
				OverWhite: col.Lab{L: 44, A: 64, B: 44},
				OverBlack: col.Lab{L: 30, A: 42, B: 26},
			},
		},
		Ground: col.Lab{L: 8}, ChokeMM: 0.3, PrintWidthMM: 100, PrintHeightMM: 67,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	planes, _ := recipe.Apply(ctx, img, nil)
	for i, p := range recipe.Plates {
		fmt.Printf(
			"%d %s as %s, %s, %.0f %% of the box\n",
			i+1,
			p.Ink.Name,
			p.Role,
			p.Rendering,
			100*planes[i].Mean(),
		)
	}
	// Output:
	// 1 White as underbase, line, 32 % of the box
	// 2 Red as color, line, 33 % of the box
}
