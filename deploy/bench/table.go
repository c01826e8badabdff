package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// films makes the pictures, runs the contests and prints the table.
func films(ctx context.Context, out io.Writer, pairs int, scale float64) error {
	dir, err := scratch()
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	fmt.Fprintf(out, "%s\nmedians of %d paired runs of whole processes; under \"six plates\" what begins with Tamis is timed by the process itself,\n"+
		"from its first step as named to its last, while CPU and memory there are all the process took, planning too\n", machine(ctx), pairs)
	contests := []struct {
		title string
		make  func(ctx context.Context, dir string, scale float64) ([]contender, error)
	}{
		{"one plate, 12 x 16 in at 1440 dpi, from 3600 x 4800 grey bytes to a Group 4 TIFF", plate},
		{"six plates, 12 x 16 in at 1440 dpi, from a 3600 x 4800 PNG; Ghostscript from ready-made planes, two at a time", six},
		{"larger films", larger},
	}
	for _, c := range contests {
		contenders, err := c.make(ctx, dir, scale)
		if err != nil {
			return err
		}
		costs, err := contest(ctx, contenders, pairs)
		if err != nil {
			return err
		}
		table(out, c.title, contenders, costs)
	}
	return nil
}

// table prints one contest. The ratio is to the first line's wall time, where that line is Ghostscript's.
func table(out io.Writer, title string, contenders []contender, costs []cost) {
	fmt.Fprintf(out, "\n%s\n  %-44s %8s %8s %8s %8s\n", title, "", "wall s", "CPU s", "peak MB", "times")
	for i, c := range contenders {
		ratio := ""
		if strings.HasPrefix(contenders[0].name, "Ghostscript") {
			ratio = fmt.Sprintf("%.1f", costs[0].wallS/costs[i].wallS)
		}
		fmt.Fprintf(out, "  %-44s %8.3f %8.3f %8.0f %8s\n", c.name, costs[i].wallS, costs[i].cpuS, costs[i].peakMB, ratio)
	}
}

// machine says what the figures were measured on.
func machine(ctx context.Context) string {
	name := runtime.GOARCH
	if info, err := os.ReadFile("/proc/cpuinfo"); err == nil {
		if _, after, ok := strings.Cut(string(info), "model name"); ok {
			line, _, _ := strings.Cut(after, "\n")
			name = strings.Trim(line, "\t :")
		}
	}
	gs := "no Ghostscript"
	if version, err := exec.CommandContext(ctx, "gs", "--version").Output(); err == nil {
		gs = "Ghostscript " + strings.TrimSpace(string(version))
	}
	return fmt.Sprintf("%s, %d cores, %s, %s, %s", name, runtime.NumCPU(), runtime.Version(), gs,
		time.Now().Format(time.DateOnly))
}

// plateProgram makes one plate and nothing else.
const plateProgram = "tamis/deploy/bench/plate"

// plate is the contest of one plate.
func plate(ctx context.Context, dir string, scale float64) ([]contender, error) {
	p := page{raw: filepath.Join(dir, "plate.raw"), widthPX: int(3600 * scale), heightPX: int(4800 * scale),
		widthIN: 12 * scale, heightIN: 16 * scale, dpi: 1440}
	if err := drawn(ctx, p.raw, p.widthPX, p.heightPX); err != nil {
		return nil, err
	}
	gs, err := p.ghostscript()
	if err != nil {
		return nil, err
	}
	program, err := build(ctx, dir, plateProgram)
	return []contender{{"Ghostscript", []command{gs}, 1}, {"Tamis, Go alone", []command{p.ours(program, noAssembly)}, 1},
		{"Tamis", []command{p.ours(program)}, 1}}, err
}

// six is the contest of a job: films alone, and a service's whole job with PDF, proof, maps and setup sheet.
func six(ctx context.Context, dir string, scale float64) ([]contender, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	widthPX, heightPX := int(3600*scale), int(4800*scale)
	art := filepath.Join(dir, "art.png")
	if err := drawn(ctx, art, widthPX, heightPX); err != nil {
		return nil, err
	}
	program, err := build(ctx, dir, "tamis/api")
	if err != nil {
		return nil, err
	}
	service := func(when string) []command {
		return []command{{words: []string{self, "service", program, art, dir, fmt.Sprint(12 * scale), when}}}
	}
	job := func(what string, env ...string) []command {
		return []command{{[]string{self, "job", art, dir, fmt.Sprint(12 * scale), what}, env}}
	}
	if _, err := job("planes")[0].one(ctx); err != nil {
		return nil, err
	}
	planes, err := filepath.Glob(filepath.Join(dir, "plate?.raw"))
	if err != nil {
		return nil, err
	}
	var gs []command
	for _, raw := range planes {
		c, err := page{raw, widthPX, heightPX, 12 * scale, 16 * scale, 1440}.ghostscript()
		if err != nil {
			return nil, err
		}
		gs = append(gs, c)
	}
	return []contender{{fmt.Sprintf("Ghostscript, %d planes", len(gs)), gs, 2},
		{"Tamis: films of the same planes", job("screened"), 1},
		{"Tamis, Go alone: PNG to films, planned", job("films", noAssembly), 1},
		{"Tamis: PNG to films, planned", job("films"), 1},
		{"Tamis: upload to done, quoted before", service("quoted"), 1},
		{"Tamis: upload to done", service("at-once"), 1}}, nil
}

// larger measures two large films of the same plane; nobody runs against them.
func larger(ctx context.Context, dir string, scale float64) ([]contender, error) {
	program, err := build(ctx, dir, plateProgram)
	if err != nil {
		return nil, err
	}
	var all []contender
	for _, p := range []page{{widthIN: 13, heightIN: 19, dpi: 1440}, {widthIN: 1000 / 25.4, heightIN: 700 / 25.4, dpi: 2540}} {
		p.raw, p.widthPX = filepath.Join(dir, "plate.raw"), int(3600*scale)
		name := fmt.Sprintf("Tamis, %.0f x %.0f mm at %d dpi", p.widthIN*25.4, p.heightIN*25.4, p.dpi)
		p.widthIN, p.heightIN = p.widthIN*scale, p.heightIN*scale
		all = append(all, contender{name, []command{p.ours(program)}, 1})
	}
	return all, nil
}
