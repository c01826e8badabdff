package produce_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"tamis/pkg/artwork"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/produce"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// shelf is a sink in memory. before, where given, is called ahead of every Put and may refuse it.
type shelf struct {
	mu     sync.Mutex // guards the rest
	files  map[string]produce.File
	bytes  map[string][]byte
	puts   []string
	before func(name string) error
}

func newShelf() *shelf {
	return &shelf{files: map[string]produce.File{}, bytes: map[string][]byte{}}
}

func (s *shelf) Finished(_ context.Context, name string) (produce.File, bool, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f, ok := s.files[name]
	return f, ok, nil
}

func (s *shelf) Open(_ context.Context, f produce.File) (io.ReadCloser, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return io.NopCloser(bytes.NewReader(s.bytes[f.SHA256])), nil
}

func (s *shelf) Put(_ context.Context, f produce.File, body io.ReadSeeker) error {
	if s.before != nil {
		if err := s.before(f.Name); err != nil {
			return err
		}
	}
	data, err := io.ReadAll(body)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.files[f.Name], s.bytes[f.SHA256] = f, data
	s.puts = append(s.puts, f.Name)
	return err
}

// picture is a small PNG: soft is a gradient that fades out to the right, else a disk.
func picture(t testing.TB, soft bool) []byte {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, 160, 120))
	for y := range 120 {
		for x := range 160 {
			if soft {
				img.SetNRGBA(x, y, color.NRGBA{uint8(x), uint8(2 * y), uint8(255 - x), uint8(255 - x)})
			} else if dx, dy := x-80, y-60; dx*dx+dy*dy < 2500 {
				img.SetNRGBA(x, y, color.NRGBA{200, 50, 43, 255})
			}
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// solved keeps tables from test to test: they depend on inks and garment alone.
var solved = separate.NewTables(32)

func input(t testing.TB, art []byte, extra string) produce.Input {
	t.Helper()
	return inputOn(t, art, `{"device":{"x_dpi":600,"y_dpi":600,"width_mm":300}}`, extra)
}

// inputOn is input with films of its own.
func inputOn(t testing.TB, art []byte, films, extra string) produce.Input {
	t.Helper()
	return planned(t, decoded(t, art), fmt.Appendf(nil, `{"artwork_id":"art_1","print":{"width_mm":60},
		"garment":{"color":"#17181a","unit_cost":"3"},"quantity":10,"order_ref":"A-1","film":%s%s}`, films, extra))
}

// decoded opens a picture's bytes.
func decoded(t testing.TB, art []byte) *artwork.Image {
	t.Helper()
	img, err := artwork.Decode(context.Background(), art, artwork.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// planned is the input of a job that an order's text asks for, in the default shop.
func planned(t testing.TB, img *artwork.Image, text []byte) produce.Input {
	t.Helper()
	o, err := order.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	if o, err = o.Complete(); err != nil {
		t.Fatal(err)
	}
	insp, err := artwork.Inspect(context.Background(), img)
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.New(plan.Input{Inspection: insp, Order: o, Shop: shop.Default(), Tables: solved})
	if err != nil {
		t.Fatal(err)
	}
	return produce.Input{Plan: p, Label: "w012", Image: img, SpoolDir: t.TempDir()}
}

func Example() {
	_, err := produce.Run(context.Background(), produce.Input{SpoolDir: "/nowhere", Plan: &plan.Plan{}}, newShelf())
	fmt.Println(err != nil) // there is no such folder to spool in
	// Output: true
}

func TestEveryPromisedFileIsPutAndTheManifestLast(t *testing.T) {
	for _, method := range []string{"spot", "simulated_process", "index", "process"} {
		in := input(t, picture(t, method != "spot"), `,"separation":{"method":"`+method+`"}`)
		s := newShelf()
		steps := 0
		in.Report = func(done, total int, _ string) {
			if done < steps || done > total {
				t.Errorf("%s: progress %d after %d of %d", method, done, steps, total)
			}
			steps = done
		}
		result, err := produce.Run(t.Context(), in, s)
		if err != nil {
			t.Fatalf("%s: %v", method, err)
		}
		plates, maps := len(in.Plan.Doc.Plates), 0
		if _, ok := s.files["gamut.png"]; ok {
			maps++
		}
		if len(result.Films) != 2*plates || len(result.Files) != plates+5+maps || s.puts[len(s.puts)-1] != "manifest.json" {
			t.Errorf("%s: %d films, files %v", method, len(result.Films), s.puts)
		}
		checkManifest(t, s)
		if left, _ := os.ReadDir(in.SpoolDir); len(left) != 0 {
			t.Errorf("%s: the spool keeps %v", method, left)
		}
	}
}

// checkManifest compares every hash the manifest states with the bytes kept.
func checkManifest(t *testing.T, s *shelf) {
	t.Helper()
	var m produce.Manifest
	if err := json.Unmarshal(s.bytes[s.files["manifest.json"].SHA256], &m); err != nil {
		t.Fatal(err)
	}
	for _, f := range m.Files {
		sum := sha256.Sum256(s.bytes[f.SHA256])
		if hex.EncodeToString(sum[:]) != f.SHA256 || len(s.bytes[f.SHA256]) != int(f.Bytes) {
			t.Errorf("%s is not what the manifest says", f.Name)
		}
	}
	if len(m.Files) != len(s.puts)-1 {
		t.Errorf("the manifest lists %d files of %d", len(m.Files), len(s.puts)-1)
	}
}

func TestTheSameWorkGivesTheSameBytes(t *testing.T) {
	for _, soft := range []bool{true, false} {
		art := picture(t, soft)
		a, b := newShelf(), newShelf()
		for _, s := range []*shelf{a, b} {
			if _, err := produce.Run(t.Context(), input(t, art, ""), s); err != nil {
				t.Fatal(err)
			}
		}
		for name, f := range a.files {
			if b.files[name].SHA256 != f.SHA256 {
				t.Errorf("soft %t: %s differs", soft, name)
			}
		}
	}
}

// TestAFinishedPlateIsNotMadeAgain breaks the store at the last film and goes on from what is there.
func TestAFinishedPlateIsNotMadeAgain(t *testing.T) {
	in := input(t, picture(t, true), "")
	whole := newShelf()
	want, err := produce.Run(t.Context(), in, whole)
	if err != nil {
		t.Fatal(err)
	}
	s := newShelf()
	broken := errors.New("the store is away")
	s.before = func(name string) error {
		if name == "films.pdf" {
			return broken
		}
		return nil
	}
	if _, err := produce.Run(t.Context(), in, s); !errors.Is(err, broken) {
		t.Fatalf("the store's trouble became %v", err)
	}
	made := 0
	for _, name := range s.puts {
		if strings.HasSuffix(name, ".tif") {
			made++
		}
	}
	s.before = func(name string) error {
		if strings.HasSuffix(name, ".tif") {
			return fmt.Errorf("%s is made again", name)
		}
		return nil
	}
	got, err := produce.Run(t.Context(), in, s)
	if err != nil {
		t.Fatal(err)
	}
	if made != len(in.Plan.Doc.Plates) || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%d films before the break; the result differs from one made in one go", made)
	}
}

func TestAStoppedJobLeavesNothingInTheSpool(t *testing.T) {
	in := input(t, picture(t, true), "")
	why := errors.New("cancelled")
	ctx, stop := context.WithCancelCause(t.Context())
	s := newShelf()
	s.before = func(string) error { stop(why); return nil }
	if _, err := produce.Run(ctx, in, s); !errors.Is(err, why) && !errors.Is(err, context.Canceled) {
		t.Errorf("stopped with %v", err)
	}
	if left, _ := os.ReadDir(in.SpoolDir); len(left) != 0 {
		t.Errorf("the spool keeps %v", left)
	}
}

func TestCleaningTakesWhatAKilledProcessLeftAndNothingElse(t *testing.T) {
	dir := t.TempDir()
	left := filepath.Join(dir, "tamis-job-left")
	other := filepath.Join(dir, "other")
	for _, d := range []string{left, other} {
		if err := os.Mkdir(d, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	if err := produce.CleanSpool(dir, time.Now()); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(left); err != nil {
		t.Error("a folder made a moment ago may be a neighbour's and must stay")
	}
	if err := produce.CleanSpool(dir, time.Now().Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(left); !os.IsNotExist(err) {
		t.Error("the left-over is still there")
	}
	if _, err := os.Stat(other); err != nil {
		t.Error("a folder that is not ours was removed")
	}
}

func TestOnlyTheFormatsAskedForAreMade(t *testing.T) {
	in := input(t, picture(t, false), "")
	in.Plan.Input.Order.Film.Formats = []string{"pdf"}
	s := newShelf()
	result, err := produce.Run(t.Context(), in, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range result.Films {
		if f.Format != "pdf" {
			t.Errorf("%+v", f)
		}
	}
	for name := range s.files {
		if strings.HasSuffix(name, ".tif") {
			t.Errorf("%s was not asked for", name)
		}
	}
}
