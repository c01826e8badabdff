package main

import (
	"bufio"
	"context"
	"image"
	"image/png"
	"math"
	"os"
	"strconv"
	"strings"
)

// waves is a picture of slow waves and a little noise, in every tone: what a photograph costs, and nobody's.
func waves(widthPX, heightPX int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, widthPX, heightPX))
	seed := uint32(1)
	for y := range heightPX {
		row := img.Pix[y*img.Stride:]
		for x := range widthPX {
			seed = seed*1664525 + 1013904223
			grain := float64(seed>>28) - 8
			for c := range 3 {
				slow := math.Sin(float64(x)/float64(170+40*c) + float64(y)/230 + float64(c))
				fast := math.Sin(float64(x)/90 - float64(y)/float64(310-60*c))
				row[4*x+c] = uint8(min(max(255*(0.5+0.25*slow+0.2*fast)+grain, 0), 255))
			}
			row[4*x+3] = 255
		}
	}
	return img
}

// grey is one channel of a picture, a byte a pixel.
func grey(img *image.NRGBA) []byte {
	plane := make([]byte, len(img.Pix)/4)
	for i := range plane {
		plane[i] = img.Pix[4*i]
	}
	return plane
}

// draw writes a picture: the name of a .png, or of a file for the bytes of one channel, its width and its height. A
// process of its own does it, since one that has held a picture shows its memory as that of the processes it starts.
func draw(words []string) error {
	width, err := strconv.Atoi(words[1])
	if err != nil {
		return err
	}
	height, err := strconv.Atoi(words[2])
	if err != nil {
		return err
	}
	img := waves(width, height)
	if strings.HasSuffix(words[0], ".png") {
		return writePNG(words[0], img)
	}
	return os.WriteFile(words[0], grey(img), 0o600)
}

// drawn starts draw.
func drawn(ctx context.Context, path string, width, height int) error {
	self, err := os.Executable()
	if err != nil {
		return err
	}
	_, err = command{words: []string{self, "picture", path, strconv.Itoa(width), strconv.Itoa(height)}}.one(ctx)
	return err
}

// writePNG writes a picture as a program would that is in no hurry.
func writePNG(path string, img image.Image) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	w := bufio.NewWriter(f)
	if err := png.Encode(w, img); err != nil {
		return err
	}
	return w.Flush()
}

// scratch makes a folder in memory where there is one, else among the system's temporary files.
func scratch() (string, error) {
	const inMemory = "/dev/shm"
	if info, err := os.Stat(inMemory); err == nil && info.IsDir() {
		if dir, err := os.MkdirTemp(inMemory, "tamis-bench-"); err == nil {
			return dir, nil
		}
	}
	return os.MkdirTemp("", "tamis-bench-")
}
