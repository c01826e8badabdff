package serve

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/queue"
)

// heartbeat keeps proxies from closing a silent stream; writeWithin keeps a dead caller from blocking it.
const (
	heartbeat   = 10 * time.Second
	writeWithin = 10 * time.Second
)

// EventDoc is the data of one event.
type EventDoc struct {
	State    string   `json:"state"`
	Progress Progress `json:"progress"`
	Attempts int      `json:"attempts"`
	Problem  *Problem `json:"problem,omitempty"`
}

// jobEvents streams what happens to a job.
//
//	@Summary		A job's events, as they happen
//	@Description	Server-Sent Events until the job ends: event is queued, running, progress, done, failed or canceled; data is state, progress and attempts as JSON. Last-Event-ID goes on after that event; 204 when there is nothing left to say. Before the server stops it sends event: reconnect.
//	@Tags			jobs
//	@Produce		text/event-stream
//	@Param			id				path	string	true	"job id"
//	@Param			Last-Event-ID	header	string	false	"the last event seen"
//	@Success		200				{string}	string	"event stream"
//	@Success		204				"the job has ended and its end was seen"
//	@Failure		404,503	{object}	Problem
//	@Router			/v1/jobs/{id}/events [get]
func (a *api) jobEvents(c *gin.Context) {
	last := c.GetHeader("Last-Event-ID")
	events, err := a.Queue.Events(c.Request.Context(), string(shopOf(c)), c.Param("id"), last)
	if err != nil {
		fail(c, err)
		return
	}
	first, more := a.firstEvent(c, events)
	if !more {
		c.Status(http.StatusNoContent)
		return
	}
	s := &eventStream{c: c, out: http.NewResponseController(c.Writer)}
	s.open()
	if first != nil && !s.event(*first) {
		return
	}
	a.forward(s, events)
}

// firstEvent waits for the first event for one heartbeat, so that a stream with nothing to say can still answer 204.
func (a *api) firstEvent(c *gin.Context, events <-chan queue.Event) (first *queue.Event, more bool) {
	timer := time.NewTimer(heartbeat)
	defer timer.Stop()
	select {
	case e, ok := <-events:
		return &e, ok
	case <-timer.C:
	case <-a.Closing:
	case <-c.Request.Context().Done():
	}
	return nil, true
}

// forward writes events until the last, the caller's leaving, or the server's closing.
func (a *api) forward(s *eventStream, events <-chan queue.Event) {
	tick := time.NewTicker(heartbeat)
	defer tick.Stop()
	for {
		select {
		case e, ok := <-events:
			if !ok || !s.event(e) {
				return
			}
		case <-tick.C:
			if !s.write(": still here\n\n") {
				return
			}
		case <-a.Closing:
			s.write("event: reconnect\ndata: {}\n\n")
			return
		}
	}
}

// eventStream writes Server-Sent Events with a fresh deadline each: the server's own would cut the stream.
type eventStream struct {
	c   *gin.Context
	out *http.ResponseController
}

func (s *eventStream) open() {
	h := s.c.Writer.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no")
	s.c.Status(http.StatusOK)
	s.write("retry: 2000\n\n")
}

func (s *eventStream) event(e queue.Event) bool {
	data, err := json.Marshal(EventDoc{State: string(e.State), Progress: Progress{e.Done, e.Total, e.Stage},
		Attempts: e.Attempts, Problem: jobProblem(e.Problem)})
	if err != nil {
		return false
	}
	return s.write(fmt.Sprintf("id: %s\nevent: %s\ndata: %s\n\n", e.ID, e.Type, data))
}

func (s *eventStream) write(text string) bool {
	if s.out.SetWriteDeadline(time.Now().Add(writeWithin)) != nil {
		return false
	}
	if _, err := s.c.Writer.WriteString(text); err != nil {
		return false
	}
	return s.out.Flush() == nil
}
