package film_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"tamis/pkg/film"
	"tamis/pkg/raster"
)

// A stencil of one ink: lay the page out, write the film.
func Example() {
	layout, err := film.NewLayout(film.Spec{PrintWidthMM: 100, PrintHeightMM: 50, MarginMM: 20, Plates: 1,
		Device: film.Device{XDPI: 720, YDPI: 720, WidthMM: 330}})
	if err != nil {
		fmt.Println(err)
		return
	}
	dir, err := os.MkdirTemp("", "film")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	file, err := os.Create(filepath.Join(dir, "1-navy.tif"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer file.Close()
	art := raster.NewPlane(200, 100)
	for i := range art.Pix[:art.Width*50] { // the upper half
		art.Pix[i] = 255
	}
	made, err := layout.Write(context.Background(), film.Plate{N: 1, Of: 1, InkName: "Navy", Plane: art}, file, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d x %d px, %.0f %% of the print is ink\n", made.WidthPX, made.HeightPX, 100*made.InkArea)
	fmt.Println(made.Legend)
	// Output:
	// 3969 x 2551 px, 50 % of the print is ink
	// 1 of 1  Navy, line
}
