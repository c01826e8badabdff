package library

import (
	"context"
	"encoding/json"
	"regexp"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/shop"
	"tamis/pkg/store"
)

// Quote is a quote as it was given: Answer is its bytes, so that it can be given again to the byte whatever the shop
// has edited, or a newer Tamis reckons, since. Order and Snapshot (by the hash of its content, since many quotes share
// one) are what a job under it is made from.
type Quote struct {
	ID         string          `json:"id"`
	Order      json.RawMessage `json:"order"`
	ArtworkSHA string          `json:"artwork_sha256"`
	Snapshot   string          `json:"snapshot_sha256"`
	Answer     json.RawMessage `json:"answer"`
}

// quoteDay is how the last day stands in an id: ids sort by it, so that the oldest are found first.
const quoteDay = "20060102"

var quoteForm = regexp.MustCompile(`^quo_[0-9]{8}[0-9a-f]{24}$`)

// QuoteID names a quote by what made it and by when it ends: the same order on the same day is one quote.
func QuoteID(w WorkID, end time.Time) string {
	return "quo_" + end.UTC().Format(quoteDay) + string(w[1:25])
}

// QuoteEnd is when a quote given at a time ends: after so many whole days, at midnight UTC.
func QuoteEnd(given time.Time, days int) time.Time {
	y, m, d := given.UTC().Date()
	return time.Date(y, m, d+days+1, 0, 0, 0, 0, time.UTC)
}

// QuoteEndOf reads the end out of an id; ok is false for what is no quote's id.
func QuoteEndOf(id string) (end time.Time, ok bool) {
	if !quoteForm.MatchString(id) {
		return end, false
	}
	end, err := time.Parse(quoteDay, id[4:12])
	return end, err == nil
}

func quotePrefix(s ShopID) string { return prefix(s) + "quotes/" }

func quoteKey(s ShopID, id string) string { return quotePrefix(s) + id + ".json" }

func snapshotKey(s ShopID, sha string) string { return prefix(s) + "snapshots/" + sha + ".json" }

// KeepQuote stores a quote with the snapshot it was made under, given as its text. When the id has been given other bytes (by another
// version of Tamis) those stand, and stood is the quote that is kept.
func (l *Library) KeepQuote(ctx context.Context, owner ShopID, q Quote, text []byte) (stood Quote, err error) {
	q.Snapshot = sumHex(text)
	key := snapshotKey(owner, q.Snapshot)
	if _, stands := l.snapshots.Get(key); !stands {
		if _, err := l.putOnce(ctx, key, text, "application/json"); err != nil {
			return q, err
		}
		l.snapshots.Add(key, struct{}{})
	}
	doc, err := json.Marshal(q)
	if err != nil {
		return q, err
	}
	if _, err = l.putOnce(ctx, quoteKey(owner, q.ID), doc, "application/json"); fault.Is(err, fault.Conflict) {
		var first Quote
		return first, l.read(ctx, quoteKey(owner, q.ID), &first)
	}
	return q, err
}

// Quote finds a quote of the shop that has not ended by now. One whose end has passed is fault.Gone, and is thrown
// away; any other id is fault.NotFound.
func (l *Library) Quote(ctx context.Context, owner ShopID, id string, now time.Time) (q Quote, err error) {
	end, ok := QuoteEndOf(id)
	if !ok {
		return q, notFound("quote", id)
	}
	if !now.Before(end) {
		if err := l.store.Delete(ctx, quoteKey(owner, id)); err != nil {
			return q, err
		}
		return q, fault.Newf(fault.Gone, "", "quote_ended", "quote %s was valid until %s; ask for the order's price again",
			id, end.Format(time.RFC3339))
	}
	err = l.read(ctx, quoteKey(owner, id), &q)
	if fault.Is(err, fault.NotFound) {
		return q, notFound("quote", id)
	}
	return q, err
}

// Quoted gives the order a quote was made for and the shop's documents as they were.
func (l *Library) Quoted(ctx context.Context, owner ShopID, q Quote) (o order.Order, s shop.Snapshot, err error) {
	if o, err = order.Parse(q.Order); err != nil {
		return o, s, err
	}
	return o, s, l.read(ctx, snapshotKey(owner, q.Snapshot), &s)
}

// SweepQuotes throws away up to limit quotes that ended before now.
func (l *Library) SweepQuotes(ctx context.Context, owner ShopID, now time.Time, limit int) error {
	infos, err := l.store.List(ctx, quotePrefix(owner), "", limit)
	if err != nil {
		return err
	}
	for _, info := range infos {
		if end, ok := endOfKey(owner, info); ok && now.Before(end) {
			return nil // the others end later
		}
		if err := l.store.Delete(ctx, info.Key); err != nil {
			return err
		}
	}
	return nil
}

func endOfKey(owner ShopID, info store.Info) (time.Time, bool) {
	name := info.Key[len(quotePrefix(owner)):]
	return QuoteEndOf(name[:max(0, len(name)-len(".json"))])
}
