// Package cores runs work side by side on all cores and lets no panic of it end the process.
//
// What goes in: functions over 0..n-1, over ranges of it, or with errors (Group). What comes out: the same as if they
// had run one after another, since each writes a place of its own. The one rule for panics: what panics in a goroutine
// of this package is raised again, as a *Panic with that goroutine's stack, on the goroutine that waits, after all have
// ended. So the one who called for the work hears of it: a job fails, a call is answered with a fault, the process
// goes on. A goroutine that the work starts by itself has no such net: start it here.
//
// It does not know what is worked, and logs nothing.
package cores

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Ranges calls work on disjoint ranges from..to-1 that make up 0..n-1, one a core, none of them empty, and waits. What
// work writes must not depend on the division. Nothing is called where n is 0 or less.
func Ranges(n int, work func(from, to int)) {
	_ = TryRanges(n, func(from, to int) error { // none is given
		work(from, to)
		return nil
	})
}

// TryRanges is Ranges for work that can fail: the error of the first range that has one.
func TryRanges(n int, work func(from, to int) error) error {
	parts := most(n)
	errs := make([]error, parts)
	sideBySide(parts, func(k int) { errs[k] = work(n*k/parts, n*(k+1)/parts) })
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// Each calls work for 0..n-1 on all cores, in no order, and waits; each call writes its own place.
func Each(n int, work func(i int)) {
	EachWith(n, func() struct{} { return struct{}{} }, func(_ struct{}, i int) { work(i) })
}

// EachWith is Each for work that needs something no other core uses meanwhile: begin makes it, once a core. What work
// writes must not depend on what its core did before.
func EachWith[Own any](n int, begin func() Own, work func(own Own, i int)) {
	parts := most(n)
	run := max(1, n/max(1, turns*parts))
	var next atomic.Int64
	sideBySide(parts, func(int) {
		own := begin()
		for {
			to := int(next.Add(int64(run)))
			if to-run >= n {
				return
			}
			for i := to - run; i < min(to, n); i++ {
				work(own, i)
			}
		}
	})
}

// turns is how many runs a core takes of what there is: with fewer the cores end apart when the work is uneven, by a
// thirtieth of a core's share now; with one a number, 64 cores would wait for the counter where the work is short.
const turns = 32

// Together calls each function on a goroutine of its own and waits for all.
func Together(work ...func()) { sideBySide(len(work), func(k int) { work[k]() }) }

// most is how many of n can be at work at once.
func most(n int) int { return max(0, min(runtime.GOMAXPROCS(0), n)) }

// sideBySide calls work for 0..parts-1, each on a goroutine of its own.
func sideBySide(parts int, work func(part int)) {
	var group sync.WaitGroup
	var first firstPanic
	for part := range parts {
		group.Go(func() {
			defer func() { first.keep(recover()) }()
			work(part)
		})
	}
	group.Wait()
	first.raise()
}
