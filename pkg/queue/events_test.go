package queue_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"tamis/pkg/queue"
)

func types(events []queue.Event) (types []string) {
	for _, e := range events {
		types = append(types, e.Type)
	}
	return types
}

func TestEventsComeInOrderAndEndWithTheEnd(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	live, err := b.Events(t.Context(), shop, id, "")
	if err != nil {
		t.Fatal(err)
	}
	other := b.open(t) // another process does the work
	c, err := other.Claim(t.Context(), shop, id)
	if err != nil {
		t.Fatal(err)
	}
	for n := 1; n <= 3; n++ {
		if err := other.Progress(t.Context(), c, n, 3, fmt.Sprintf("plate %d", n)); err != nil {
			t.Fatal(err)
		}
	}
	if err := other.Commit(t.Context(), c, done); err != nil {
		t.Fatal(err)
	}
	var got []queue.Event
	for e := range live {
		got = append(got, e)
	}
	want := []string{"queued", "running", "progress", "progress", "progress", "done"}
	if !slices.Equal(types(got), want) {
		t.Fatalf("live: %v", types(got))
	}
	if p := got[4]; p.Done != 3 || p.Total != 3 || p.Stage != "plate 3" || p.State != queue.Running || p.Attempts != 1 {
		t.Fatalf("progress %+v", p)
	}
	for i := range got { // replay from any id gives the rest, with the same ids
		last := ""
		if i > 0 {
			last = got[i-1].ID
		}
		if rest := drain(t, b.Queue, id, last); !slices.Equal(rest, got[i:]) {
			t.Fatalf("after %q: %v", last, types(rest))
		}
	}
	if rest := drain(t, b.Queue, id, got[5].ID); rest != nil {
		t.Fatalf("after the end: %v", types(rest))
	}
	if rest := drain(t, b.Queue, id, "not an id"); len(rest) != 6 {
		t.Fatalf("after an unknown id: %v", types(rest))
	}
}

func TestEventsOfAJobAreItsOwn(t *testing.T) {
	b := newBench(t)
	first, second := b.create(t, job(1)), b.create(t, job(2))
	if err := b.Cancel(t.Context(), shop, first); err != nil {
		t.Fatal(err)
	}
	if err := b.Commit(t.Context(), b.claim(t, second), done); err != nil {
		t.Fatal(err)
	}
	if got := types(drain(t, b.Queue, first, "")); !slices.Equal(got, []string{"queued", "canceled"}) {
		t.Fatalf("events %v", got)
	}
}

func TestTheStreamIsCapped(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	c := b.claim(t, id)
	for n := range 300 {
		if err := b.Progress(t.Context(), c, n, 300, "screen"); err != nil {
			t.Fatal(err)
		}
	}
	if err := b.Commit(t.Context(), c, done); err != nil {
		t.Fatal(err)
	}
	events := drain(t, b.Queue, id, "")
	if len(events) != 256 || events[255].Type != "done" {
		t.Fatalf("%d events, the last %+v", len(events), events[len(events)-1])
	}
}

func TestEventsGoOnAfterRedisWasEmptied(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	live, err := b.Events(t.Context(), shop, id, "")
	if err != nil {
		t.Fatal(err)
	}
	first := <-live
	b.redis.FlushAll(t.Context())
	b.recover(t)
	if err := b.Commit(t.Context(), b.claim(t, id), done); err != nil {
		t.Fatal(err)
	}
	got := []queue.Event{first}
	for e := range live {
		got = append(got, e)
	}
	if want := []string{"queued", "queued", "running", "done"}; !slices.Equal(types(got), want) {
		t.Fatalf("events %v", types(got))
	}
	b.redis.FlushAll(t.Context()) // and now the whole stream is gone
	for _, when := range []string{"before", "after"} {
		events := drain(t, b.Queue, id, "")
		if len(events) != 1 || events[0].Type != "done" || events[0].State != queue.Done {
			t.Fatalf("%s the rebuild: %+v", when, events)
		}
		if rest := drain(t, b.Queue, id, events[0].ID); rest != nil {
			t.Fatalf("%s the rebuild, after the end: %+v", when, rest)
		}
		b.recover(t)
	}
}

func TestAWatcherThatLeavesEndsItsGoroutine(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	ctx, cancel := contextWithCancel(t)
	live, err := b.Events(ctx, shop, id, "")
	if err != nil {
		t.Fatal(err)
	}
	cancel() // nobody reads
	deadline := time.After(10 * time.Second)
	for {
		select {
		case _, open := <-live:
			if !open {
				return
			}
		case <-deadline:
			t.Fatal("the channel stays open")
		}
	}
}
