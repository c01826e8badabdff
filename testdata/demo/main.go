// Command demo draws the demo artwork into testdata/art. Run it from the module's root: go run ./testdata/demo
package main

import (
	"bufio"
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"

	"tamis/testdata/demo/draw"
)

func main() {
	dir := flag.String("out", "testdata/art", "folder that receives the pictures")
	only := flag.String("only", "", "draw this file alone, such as bee-stencil.png")
	flag.Parse()
	if err := run(*dir, *only); err != nil {
		fmt.Fprintln(os.Stderr, "demo:", err)
		os.Exit(1)
	}
}

func run(dir, only string) error {
	for _, p := range draw.Pieces() {
		if only != "" && only != p.File {
			continue
		}
		if err := write(filepath.Join(dir, p.File), p.Draw()); err != nil {
			return err
		}
	}
	return nil
}

func write(name string, picture image.Image) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	defer f.Close()
	w := bufio.NewWriter(f)
	if err := (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(w, picture); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Close()
}
