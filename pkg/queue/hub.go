package queue

import (
	"context"
	"sync"

	"github.com/redis/go-redis/v9"
)

// hub listens to Redis once for the whole process and wakes whoever waits for news of a job. A wake-up may be lost
// while the connection is renewed, so everyone who waits also looks by itself from time to time.
type hub struct {
	sub     *redis.PubSub
	stopped chan struct{}

	mu      sync.Mutex // guards waiting
	waiting map[string]map[chan struct{}]struct{}
}

// newHub subscribes to what the scripts publish: prefix:wake (something happened to "shop/id") and prefix:stop
// (a running job was told to stop).
func newHub(client redis.UniversalClient, prefix string) *hub {
	h := &hub{
		sub:     client.Subscribe(context.Background(), prefix+":wake", prefix+":stop"),
		stopped: make(chan struct{}),
		waiting: map[string]map[chan struct{}]struct{}{},
	}
	cut := len(prefix) + 1
	go func() {
		defer close(h.stopped)
		for m := range h.sub.Channel() {
			h.wake(m.Channel[cut:] + " " + m.Payload)
		}
	}()
	return h
}

func wakeName(shop, id string) string { return "wake " + shop + "/" + id }
func stopName(shop, id string) string { return "stop " + shop + "/" + id }

func (h *hub) wake(name string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for c := range h.waiting[name] {
		select {
		case c <- struct{}{}:
		default: // it has not looked at the last wake-up yet
		}
	}
}

// wait gives a channel that gets a value after each wake-up of this name; leave must be called.
func (h *hub) wait(name string) (woken <-chan struct{}, leave func()) {
	c := make(chan struct{}, 1)
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.waiting[name] == nil {
		h.waiting[name] = map[chan struct{}]struct{}{}
	}
	h.waiting[name][c] = struct{}{}
	return c, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		if delete(h.waiting[name], c); len(h.waiting[name]) == 0 {
			delete(h.waiting, name)
		}
	}
}

func (h *hub) close() {
	_ = h.sub.Close()
	<-h.stopped
}
