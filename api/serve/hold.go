package serve

import (
	"context"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"
)

// longestHold bounds Prefer: wait, so that proxies between do not give up first.
const longestHold = 60 * time.Second

// hold waits for a job's end when the caller prefers to (RFC 7240: Prefer: wait=10). Unknown preferences are passed over.
// Whatever happens, the call then answers with the job as it stands.
func (a *api) hold(c *gin.Context, id string) {
	wait, ok := preferredWait(c.Request.Header.Values("Prefer"))
	if !ok {
		return
	}
	ctx, cancel := context.WithTimeout(c.Request.Context(), wait)
	defer cancel()
	c.Header("Preference-Applied", "wait="+strconv.Itoa(int(wait/time.Second)))
	events, err := a.Queue.Events(ctx, string(shopOf(c)), id, "")
	if err != nil {
		return // the answer itself will say what is wrong
	}
	for {
		select {
		case _, more := <-events:
			if !more {
				return
			}
		case <-a.Closing:
			return
		}
	}
}

func preferredWait(headers []string) (time.Duration, bool) {
	for _, line := range headers {
		for _, preference := range strings.Split(line, ",") {
			name, value, _ := strings.Cut(strings.TrimSpace(preference), "=")
			if !strings.EqualFold(strings.TrimSpace(name), "wait") {
				continue
			}
			n, err := strconv.Atoi(strings.Trim(strings.TrimSpace(value), `"`))
			if err == nil && n > 0 {
				return min(time.Duration(n)*time.Second, longestHold), true
			}
		}
	}
	return 0, false
}
