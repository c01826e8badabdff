package queue

import (
	"context"
	"fmt"
	"regexp"
	"strconv"
	"time"

	"github.com/redis/go-redis/v9"
)

// Event is something that happened to a job. Type is queued, running, progress, done, failed or canceled.
type Event struct {
	ID          string // of the stream; grows; replayed as it was
	Type        string
	State       State
	Attempts    int
	Done, Total int
	Stage       string
	Problem     *Problem
}

// lookAgain is how long a watcher trusts that a wake-up would have come.
const lookAgain = 2 * time.Second

// endSequence ends the id of a last event that was made from a record, since its stream is gone: after every id
// the stream can have had in that millisecond.
const endSequence = 999999

var eventID = regexp.MustCompile(`^[0-9]{1,15}-[0-9]{1,15}$`)

// Events gives what happened to a job after the event lastID ("" or an unknown form = from the oldest kept), as it
// happens; the last is the end, and then the channel is closed. It is closed as well when ctx is done or Redis stays
// away; a watcher then asks again with the last id it saw. A job that ended and whose end was seen gives none.
func (q *Queue) Events(ctx context.Context, shop, id, lastID string) (<-chan Event, error) {
	if _, err := q.Get(ctx, shop, id); err != nil {
		return nil, err
	}
	if !eventID.MatchString(lastID) {
		lastID = "0-0"
	}
	w := &watch{q: q, shop: shop, id: id, last: lastID, out: make(chan Event)}
	go w.run(ctx)
	return w.out, nil
}

// watch is one watcher's place in a job's stream.
type watch struct {
	q        *Queue
	shop, id string
	last     string
	out      chan Event
}

func (w *watch) run(ctx context.Context) {
	defer close(w.out)
	woken, leave := w.q.hub.wait(wakeName(w.shop, w.id))
	defer leave()
	timer := time.NewTicker(lookAgain)
	defer timer.Stop()
	for {
		over, err := w.catchUp(ctx)
		if err != nil && ctx.Err() == nil {
			w.q.log.Warn("queue: events broken off", "shop", w.shop, "job", w.id, "error", err)
		}
		if over || err != nil {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-woken:
		case <-timer.C:
		}
	}
}

// catchUp sends what the stream has; over tells that the end was sent or had been seen before.
// The record is read first: an end that falls between the two readings shows in the stream.
func (w *watch) catchUp(ctx context.Context) (over bool, err error) {
	record, err := w.q.Get(ctx, w.shop, w.id)
	if err != nil {
		return false, err
	}
	entries, err := w.q.redis.XRange(ctx, w.q.eventsKey(w.shop, w.id), "("+w.last, "+").Result()
	if err != nil {
		return false, redisFault(err)
	}
	for _, entry := range entries {
		e := eventOf(entry)
		if err := w.send(ctx, e); err != nil {
			return false, err
		}
		if e.State.Ended() {
			return true, nil
		}
	}
	if !record.State.Ended() {
		return false, nil
	}
	return true, w.sendEnd(ctx, record)
}

// sendEnd makes the last event from the record, unless the watcher is past it.
func (w *watch) sendEnd(ctx context.Context, r Record) error {
	endedMS := r.EndedAt.UnixMilli()
	if n, err := w.q.redis.XLen(ctx, w.q.eventsKey(w.shop, w.id)).Result(); err != nil || n > 0 {
		return redisFault(err) // the stream stands and has nothing new: the end was seen
	}
	var ms, seq int64
	_, err := fmt.Sscanf(w.last, "%d-%d", &ms, &seq)
	if err == nil && (ms > endedMS || ms == endedMS && seq == endSequence) {
		return nil
	}
	return w.send(ctx, Event{ID: fmt.Sprintf("%d-%d", endedMS, endSequence), Type: string(r.State), State: r.State,
		Attempts: r.Attempts, Done: r.Done, Total: r.Total, Stage: r.Stage, Problem: r.Problem})
}

func (w *watch) send(ctx context.Context, e Event) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case w.out <- e:
		w.last = e.ID
		return nil
	}
}

func eventOf(m redis.XMessage) Event {
	text := func(field string) string { s, _ := m.Values[field].(string); return s }
	count := func(field string) int { n, _ := strconv.Atoi(text(field)); return n }
	return Event{ID: m.ID, Type: text("type"), State: State(text("state")), Attempts: count("attempts"),
		Done: count("done"), Total: count("total"), Stage: text("stage"), Problem: problemOf(text("problem"))}
}
