package cores_test

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"

	"tamis/pkg/cores"
)

// onCores runs a test as a machine with so many cores would.
func onCores(t *testing.T, counts []int, test func(t *testing.T)) {
	t.Helper()
	for _, n := range counts {
		t.Run(fmt.Sprint(n, " cores"), func(t *testing.T) {
			before := runtime.GOMAXPROCS(n)
			defer runtime.GOMAXPROCS(before)
			test(t)
		})
	}
}

func TestEveryNumberIsWorkedOnce(t *testing.T) {
	ways := map[string]func(n int, hit func(i int)){
		"Each": cores.Each,
		"Ranges": func(n int, hit func(i int)) {
			cores.Ranges(n, func(from, to int) {
				if from >= to {
					t.Errorf("an empty range: %d to %d of %d", from, to, n)
				}
				for i := from; i < to; i++ {
					hit(i)
				}
			})
		},
		"EachWith": func(n int, hit func(i int)) {
			cores.EachWith(n, func() *int { return new(int) }, func(own *int, i int) {
				*own++ // the race detector tells where two cores share it
				hit(i)
			})
		},
		"Together": func(n int, hit func(i int)) {
			var work []func()
			for i := range max(n, 0) {
				work = append(work, func() { hit(i) })
			}
			cores.Together(work...)
		},
	}
	onCores(t, []int{1, 2, 7}, func(t *testing.T) {
		for name, way := range ways {
			for _, n := range []int{-1, 0, 1, 2, 3, 6, 7, 8, 64, 1000, 1001} {
				hits := make([]atomic.Int32, max(n, 0))
				way(n, func(i int) { hits[i].Add(1) })
				for i := range hits {
					if got := hits[i].Load(); got != 1 {
						t.Fatalf("%s of %d: %d was worked %d times", name, n, i, got)
					}
				}
			}
		}
	})
}

func TestTheErrorOfTheFirstRangeIsGiven(t *testing.T) {
	onCores(t, []int{4}, func(t *testing.T) {
		err := cores.TryRanges(8, func(from, _ int) error {
			if from < 4 {
				return nil
			}
			return fmt.Errorf("from %d", from)
		})
		if err == nil || err.Error() != "from 4" {
			t.Fatalf("%v", err)
		}
	})
}

// breaksHere panics under a name that a stack shows.
func breaksHere(i int) {
	if i == 3 {
		panic("the third breaks")
	}
}

func TestAPanicIsRaisedWhereTheWorkIsWaitedForWithItsStack(t *testing.T) {
	var ended atomic.Int32
	work := func(i int) {
		defer ended.Add(1)
		breaksHere(i)
	}
	ways := map[string]func(){
		"Each":      func() { cores.Each(8, work) },
		"a nest":    func() { cores.Together(func() { cores.Each(8, work) }) },
		"Ranges":    func() { cores.Ranges(8, func(from, _ int) { work(from); work(from + 1) }) },
		"TryRanges": func() { _ = cores.TryRanges(8, func(from, _ int) error { work(from); return errors.New("less") }) },
		"Together":  func() { cores.Together(func() { work(1) }, func() { work(3) }, func() { work(2) }) },
		"Group": func() {
			group, ctx := cores.NewGroup(context.Background())
			group.Go(func() error { work(3); return nil })
			group.Go(func() error { <-ctx.Done(); work(4); return context.Cause(ctx) })
			err := group.Wait()
			t.Error("Wait gave", err)
		},
		"a group that had failed": func() {
			group, ctx := cores.NewGroup(context.Background())
			group.Limit(2)
			group.Go(func() error { return errors.New("before") })
			group.Go(func() error { <-ctx.Done(); work(3); return nil })
			err := group.Wait()
			t.Error("Wait gave", err)
		},
	}
	onCores(t, []int{8}, func(t *testing.T) {
		for name, way := range ways {
			t.Run(name, func(t *testing.T) {
				p := panicOf(way)
				if p == nil || p.Value != "the third breaks" || !strings.Contains(string(p.Stack), "breaksHere") ||
					p.Error() != "panic: the third breaks" {
					t.Fatalf("raised %v", p)
				}
			})
		}
	})
	if ended.Load() < 20 {
		t.Errorf("only %d ended before the panic was raised", ended.Load())
	}
}

// panicOf is what work panics with.
func panicOf(work func()) (p *cores.Panic) {
	defer func() { p = cores.PanicOf(recover()) }()
	work()
	return nil
}

func TestAPanicIsNoFaultOfItsValuesKind(t *testing.T) {
	p := panicOf(func() { panic(context.Canceled) })
	if errors.Is(p, context.Canceled) {
		t.Fatal("a panic over an ended context counts as a cancelled job")
	}
	if cores.PanicOf(nil) != nil {
		t.Fatal("there was no panic")
	}
}
