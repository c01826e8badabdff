package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"time"

	"golang.org/x/sync/errgroup"
)

// cost is what a process, or several, took. peakMB is the largest one's.
type cost struct{ wallS, cpuS, peakMB float64 }

// command is a process to start: its words, and what is added to the environment.
type command struct {
	words []string
	env   []string
}

// tookWord begins the last line of a process that says itself how many seconds what counts of it took.
const tookWord = "took"

// build builds one of the module's programs into dir; the bench must run in the module's folder.
func build(ctx context.Context, dir, what string) (program string, err error) {
	program = filepath.Join(dir, path.Base(what))
	said, err := exec.CommandContext(ctx, "go", "build", "-o", program, what).CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("go build %s: %w: %s", what, err, said)
	}
	return program, nil
}

// one runs a process.
func (c command) one(ctx context.Context) (cost, error) {
	cmd := exec.CommandContext(ctx, c.words[0], c.words[1:]...)
	cmd.Env = append(os.Environ(), c.env...)
	start := time.Now()
	said, err := cmd.CombinedOutput()
	wall := time.Since(start)
	if err != nil {
		return cost{}, fmt.Errorf("%v: %w: %s", c.words, err, said)
	}
	state := cmd.ProcessState
	peakKB := state.SysUsage().(*syscall.Rusage).Maxrss // Linux counts in KB
	if at := bytes.LastIndex(said, []byte(tookWord)); at >= 0 {
		seconds, err := strconv.ParseFloat(string(bytes.TrimSpace(said[at+len(tookWord):])), 64)
		if err != nil {
			return cost{}, err
		}
		wall = time.Duration(seconds * float64(time.Second))
	}
	return cost{wall.Seconds(), (state.UserTime() + state.SystemTime()).Seconds(), float64(peakKB) / 1024}, nil
}

// together runs processes, at most so many at a time: their wall time as a whole, their CPU time added.
func together(ctx context.Context, commands []command, most int) (cost, error) {
	costs := make([]cost, len(commands))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(most)
	start := time.Now()
	for i, c := range commands {
		group.Go(func() (err error) {
			costs[i], err = c.one(ctx)
			return err
		})
	}
	err := group.Wait()
	if len(costs) == 1 {
		return costs[0], err
	}
	sum := cost{wallS: time.Since(start).Seconds()}
	for _, c := range costs {
		sum.cpuS += c.cpuS
		sum.peakMB = max(sum.peakMB, c.peakMB)
	}
	return sum, err
}

// contender is one line of a comparison: what it is called, its processes, and how many run at a time.
type contender struct {
	name     string
	commands []command
	most     int
}

// contest runs every contender in turn, pairs times over after one run that is not counted, and gives their medians.
func contest(ctx context.Context, contenders []contender, pairs int) ([]cost, error) {
	runs := make([][]cost, len(contenders))
	for n := range pairs + 1 {
		for i, c := range contenders {
			took, err := together(ctx, c.commands, c.most)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", c.name, err)
			}
			if n > 0 {
				runs[i] = append(runs[i], took)
			}
		}
	}
	medians := make([]cost, len(contenders))
	for i, r := range runs {
		medians[i] = cost{median(r, func(c cost) float64 { return c.wallS }), median(r, func(c cost) float64 { return c.cpuS }),
			median(r, func(c cost) float64 { return c.peakMB })}
	}
	return medians, nil
}

// median is the middle of one figure of the runs, the upper of two.
func median(runs []cost, of func(cost) float64) float64 {
	var all []float64
	for _, r := range runs {
		all = append(all, of(r))
	}
	slices.Sort(all)
	return all[len(all)/2]
}
