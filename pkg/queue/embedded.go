package queue

import (
	"fmt"
	"sync"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"
)

// EmbeddedRedis is a Redis inside this process, for a start without any server. It keeps nothing on disk: what it
// forgets at the end is rebuilt from the documents.
type EmbeddedRedis struct {
	server *miniredis.Miniredis
	client *redis.Client
	stop   chan struct{}
	done   sync.WaitGroup
}

// clockStep is how often the embedded Redis is told that time has passed: it never expires a key by itself.
const clockStep = 100 * time.Millisecond

// StartEmbeddedRedis starts a Redis on a free loopback port and the ticker that drives its clock.
func StartEmbeddedRedis() (*EmbeddedRedis, error) {
	server, err := miniredis.Run()
	if err != nil {
		return nil, fmt.Errorf("embedded Redis: %w", err)
	}
	e := &EmbeddedRedis{server: server, stop: make(chan struct{}),
		client: redis.NewClient(&redis.Options{Addr: server.Addr(), ContextTimeoutEnabled: true})}
	e.done.Go(e.drive)
	return e, nil
}

// drive passes real time on to the server's expiries.
func (e *EmbeddedRedis) drive() {
	ticker := time.NewTicker(clockStep)
	defer ticker.Stop()
	last := time.Now()
	for {
		select {
		case <-e.stop:
			return
		case <-ticker.C:
			now := time.Now()
			e.server.FastForward(now.Sub(last))
			last = now
		}
	}
}

// Client gives a connection to it, for Config.Redis; Close closes it.
func (e *EmbeddedRedis) Client() redis.UniversalClient { return e.client }

// Close stops the server, the ticker and the connection.
func (e *EmbeddedRedis) Close() error {
	close(e.stop)
	e.done.Wait()
	err := e.client.Close()
	e.server.Close()
	return err
}
