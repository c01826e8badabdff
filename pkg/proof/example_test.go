package proof_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"

	"tamis/pkg/artwork"
	col "tamis/pkg/color"
	"tamis/pkg/ink"
	"tamis/pkg/proof"
	"tamis/pkg/separate"
)

func Example() {
	art := image.NewNRGBA(image.Rect(0, 0, 100, 80))
	draw.Draw(art, art.Rect, image.NewUniform(color.NRGBA{200, 30, 40, 255}), image.Point{}, draw.Src)
	img := &artwork.Image{Width: 100, Height: 80, Pix: art.Pix}
	ctx := context.Background()
	insp, _ := artwork.Inspect(ctx, img)
	red := ink.Ink{
		ID:        "red",
		Name:      "Red",
		OverWhite: col.Lab{L: 43, A: 65, B: 42},
		OverBlack: col.Lab{L: 30, A: 40, B: 25},
	}
	recipe, _ := separate.Choose(insp, separate.Request{Inks: []ink.Ink{red}, Ground: col.Lab{L: 96}})
	planes, _ := recipe.Apply(ctx, img, nil)

	match, _ := proof.Score(ctx, recipe, planes, img)
	picture, _ := proof.Render(ctx, recipe, planes, proof.Options{MaxPX: 50})
	var file bytes.Buffer
	_ = proof.WritePNG(&file, picture)
	fmt.Printf("%v, %.1f CIEDE2000 off the artwork\n", picture.Rect.Size(), match.MeanE00)
	// Output: (56,46), 0.9 CIEDE2000 off the artwork
}
