package queue_test

import (
	"fmt"
	"slices"
	"testing"

	"tamis/pkg/queue"
)

// pages reads a whole listing in pages.
func pages(t *testing.T, b *bench, f queue.Filter, limit int, between func(page int)) []string {
	t.Helper()
	var ids []string
	var after queue.Position
	for n := 0; ; n++ {
		page, more, err := b.List(t.Context(), shop, f, after, limit)
		if err != nil {
			t.Fatal(err)
		}
		if len(page) > limit || more && len(page) < limit {
			t.Fatalf("a page of %d, more %t, limit %d", len(page), more, limit)
		}
		for _, r := range page {
			ids = append(ids, r.ID)
			after = r.Position()
		}
		if !more {
			return ids
		}
		between(n)
	}
}

func names(from, to, step int) []string {
	var ids []string
	for n := from; n >= to; n -= step {
		ids = append(ids, fmt.Sprintf("job_%04d", n))
	}
	return ids
}

func TestPagesAreNewestFirstAndNeitherRepeatNorSkip(t *testing.T) {
	b := newBench(t)
	for n := 1; n <= 23; n++ {
		b.create(t, job(n))
	}
	next := 24
	for _, limit := range []int{1, 5, 22, 23, 100} {
		first := next - 1
		got := pages(t, b, queue.Filter{}, limit, func(int) { // new jobs come while a caller pages
			b.create(t, job(next))
			next++
		})
		if want := names(first, 1, 1); !slices.Equal(got, want) {
			t.Fatalf("pages of %d: %v", limit, got)
		}
	}
}

func TestJobsOfOneMicrosecondAreOrderedByID(t *testing.T) {
	b := newBench(t)
	var want []string
	for n := range 40 {
		j := job(1)
		j.ID = fmt.Sprintf("job_%02d", (n*17)%40)
		b.create(t, j)
		want = append(want, fmt.Sprintf("job_%02d", 39-n))
	}
	if got := pages(t, b, queue.Filter{}, 7, func(int) {}); !slices.Equal(got, want) {
		t.Fatalf("got %v", got)
	}
}

func TestAListingIsFiltered(t *testing.T) {
	b := newBench(t)
	for n := 1; n <= 12; n++ {
		ref, batch := "", ""
		if n%2 == 0 {
			ref = "order é/{1}"
		}
		if n%3 == 0 {
			batch = "batch_1"
		}
		b.create(t, jobAs(n, queue.Bulk, ref, batch))
	}
	for n := 1; n <= 6; n++ {
		c := b.claim(t, fmt.Sprintf("job_%04d", n))
		if n <= 4 {
			if err := b.Commit(t.Context(), c, done); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, row := range []struct {
		filter queue.Filter
		want   []string
	}{
		{queue.Filter{State: queue.Done}, names(4, 1, 1)},
		{queue.Filter{State: queue.Running}, names(6, 5, 1)},
		{queue.Filter{State: queue.Queued}, names(12, 7, 1)},
		{queue.Filter{State: queue.Failed}, nil},
		{queue.Filter{OrderRef: "order é/{1}"}, names(12, 2, 2)},
		{queue.Filter{BatchID: "batch_1"}, names(12, 3, 3)},
		{queue.Filter{BatchID: "batch_1", OrderRef: "order é/{1}", State: queue.Running}, names(6, 6, 1)},
		{queue.Filter{OrderRef: "other"}, nil},
	} {
		if got := pages(t, b, row.filter, 2, func(int) {}); !slices.Equal(got, row.want) {
			t.Errorf("%+v: got %v, want %v", row.filter, got, row.want)
		}
	}
	other, more, err := b.List(t.Context(), "other", queue.Filter{}, queue.Position{}, 10)
	if len(other) > 0 || more || err != nil {
		t.Fatalf("another shop sees %v, %v", other, err)
	}
}
