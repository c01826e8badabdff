package library_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/shop"
)

// quoted is an order as a quote keeps it.
func quoted(t *testing.T, quantity int) order.Order {
	t.Helper()
	o, err := order.Parse(fmt.Appendf(nil, `{"artwork_id":"art_1","print":{"width_mm":300},"garment":{"color":"#17181a",
		"unit_cost":"3.10"},"quantity":%d}`, quantity))
	if err != nil {
		t.Fatal(err)
	}
	if o, err = o.Complete(); err != nil {
		t.Fatal(err)
	}
	return o
}

func TestAQuoteIsOnePerOrderAndDay(t *testing.T) {
	w := library.Work(quoted(t, 1), "sha", shop.Default())
	zone := time.FixedZone("", 5*3600)
	morning := time.Date(2026, 3, 31, 0, 0, 0, 0, time.UTC)
	for given, want := range map[time.Time]string{morning: "2026-05-01T00:00:00Z",
		morning.Add(24*time.Hour - 1): "2026-05-01T00:00:00Z",
		morning.Add(24 * time.Hour):   "2026-05-02T00:00:00Z", morning.In(zone): "2026-05-01T00:00:00Z"} {
		end := library.QuoteEnd(given, 30)
		if got := end.Format(time.RFC3339); got != want {
			t.Errorf("given %v it ends %s, want %s", given, got, want)
		}
		id := library.QuoteID(w, end)
		if back, ok := library.QuoteEndOf(id); !ok || !back.Equal(end) || len(id) != 36 {
			t.Errorf("%s says %v %v", id, back, ok)
		}
	}
}

func TestAKeptQuoteReadsBackUntilItEnds(t *testing.T) {
	l, s := open(t)
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	o, end := quoted(t, 72), library.QuoteEnd(now, 1)
	id := library.QuoteID(library.Work(o, "sha", shop.Default()), end)
	answer := json.RawMessage(`{"id":"x","label":"1 \u003c 2","total":"1.00"}`)
	if _, err := l.KeepQuote(t.Context(), mine, library.Quote{ID: id, Order: o.Canonical(), ArtworkSHA: "sha",
		Answer: answer}, library.Text(shop.Default())); err != nil {
		t.Fatal(err)
	}
	got, err := l.Quote(t.Context(), mine, id, end.Add(-1))
	if err != nil || string(got.Answer) != string(answer) {
		t.Fatalf("%s %v", got.Answer, err)
	}
	back, snapshot, err := l.Quoted(t.Context(), mine, got)
	if err != nil || library.QuoteID(library.Work(back, "sha", snapshot), end) != id {
		t.Errorf("order and snapshot make another work: %v", err)
	}
	if _, err := l.Quote(t.Context(), theirs, id, now); !fault.Is(err, fault.NotFound) {
		t.Errorf("another shop finds it: %v", err)
	}
	for range 2 {
		if _, err := l.Quote(t.Context(), mine, id, end); !fault.Is(err, fault.Gone) {
			t.Errorf("after its end: %v", err)
		}
	}
	if left, err := s.List(t.Context(), "shops/default/quotes/", "", 9); err != nil || len(left) != 0 {
		t.Errorf("%v is left, %v", left, err)
	}
}

func TestTheFirstAnswerUnderAnIDStands(t *testing.T) {
	l, s := open(t)
	end := library.QuoteEnd(time.Unix(0, 0), 30)
	id := library.QuoteID(library.Work(quoted(t, 1), "sha", shop.Default()), end)
	keep := func(answer string) library.Quote {
		q, err := l.KeepQuote(t.Context(), mine, library.Quote{ID: id, Order: json.RawMessage(`{}`),
			Answer: json.RawMessage(answer)}, library.Text(shop.Default()))
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	if first, second := keep(`{"total":"1.00"}`), keep(`{"total":"2.00"}`); string(second.Answer) != string(first.Answer) {
		t.Errorf("%s stands after %s", second.Answer, first.Answer)
	}
	if snapshots, err := s.List(t.Context(), "shops/default/snapshots/", "", 9); err != nil || len(snapshots) != 1 {
		t.Errorf("%d snapshots, want one for both: %v", len(snapshots), err)
	}
}

func TestEndedQuotesAreSweptAndOthersStay(t *testing.T) {
	l, s := open(t)
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	for days := -3; days < 3; days++ {
		for n := 1; n <= 2; n++ {
			id := library.QuoteID(library.Work(quoted(t, n), "sha", shop.Default()), library.QuoteEnd(now, days-1))
			if _, err := l.KeepQuote(t.Context(), mine, library.Quote{ID: id, Order: json.RawMessage(`{}`),
				Answer: json.RawMessage(`{}`)}, library.Text(shop.Default())); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, want := range []int{7, 4, 4} { // of twelve, eight have ended; five are swept at a time
		if err := l.SweepQuotes(t.Context(), mine, now, 5); err != nil {
			t.Fatal(err)
		}
		if left, err := s.List(t.Context(), "shops/default/quotes/", "", 99); err != nil || len(left) != want {
			t.Errorf("%d left, want %d: %v", len(left), want, err)
		}
	}
}
