package serve

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/queue"
)

// JobPage is one page of jobs, newest first. NextCursor is there while others follow.
type JobPage struct {
	Jobs       []JobDoc `json:"jobs"`
	NextCursor string   `json:"next_cursor,omitempty"`
}

const (
	pageLimit    = 50
	pageLimitMax = 200
)

// listJobs gives a page of jobs.
//
//	@Summary	Jobs, newest first
//	@Tags		jobs
//	@Produce	json
//	@Param		state		query		string	false	"queued, running, done, failed or canceled"
//	@Param		order_ref	query		string	false	"the caller's reference"
//	@Param		batch_id	query		string	false	"the batch"
//	@Param		limit		query		int		false	"1 to 200, 50 when not given"
//	@Param		cursor		query		string	false	"next_cursor of the page before"
//	@Success	200			{object}	JobPage
//	@Failure	400,503		{object}	Problem
//	@Router		/v1/jobs [get]
func (a *api) listJobs(c *gin.Context) {
	filter := queue.Filter{State: queue.State(c.Query("state")), OrderRef: c.Query("order_ref"), BatchID: c.Query("batch_id")}
	limit, after, err := pageOf(c, filter)
	if err != nil {
		fail(c, err)
		return
	}
	records, more, err := a.Queue.List(c.Request.Context(), string(shopOf(c)), filter, after, limit)
	if err != nil {
		fail(c, err)
		return
	}
	page := JobPage{Jobs: make([]JobDoc, 0, len(records))}
	for _, r := range records {
		doc, err := a.jobDoc(c.Request.Context(), shopOf(c), r, false)
		if err != nil {
			fail(c, err)
			return
		}
		page.Jobs = append(page.Jobs, doc)
	}
	if more && len(records) > 0 {
		page.NextCursor = cursor{records[len(records)-1].Position(), filterSum(filter)}.String()
		next := c.Request.URL.Query()
		next.Set("cursor", page.NextCursor)
		c.Header("Link", "<"+(&url.URL{Path: "/v1/jobs", RawQuery: next.Encode()}).String()+`>; rel="next"`)
	}
	c.JSON(http.StatusOK, page)
}

// pageOf reads limit and cursor, and checks the filter.
func pageOf(c *gin.Context, f queue.Filter) (limit int, after queue.Position, err error) {
	switch f.State {
	case "", queue.Queued, queue.Running, queue.Done, queue.Failed, queue.Canceled:
	default:
		return 0, after, fault.Newf(fault.Malformed, "", "query", "state %.40q is not one of queued, running, done, failed, canceled", f.State)
	}
	for name := range c.Request.URL.Query() {
		if !slices.Contains([]string{"state", "order_ref", "batch_id", "limit", "cursor"}, name) {
			return 0, after, fault.Newf(fault.Malformed, "", "query", "there is no query %.40q here", name)
		}
	}
	limit = pageLimit
	if text := c.Query("limit"); text != "" {
		limit, err = strconv.Atoi(text)
		if err != nil || limit < 1 || limit > pageLimitMax {
			return 0, after, fault.Newf(fault.Malformed, "", "query", "limit is %.40q; 1 to %d can be", text, pageLimitMax)
		}
	}
	if text := c.Query("cursor"); text != "" {
		at, ok := parseCursor(text)
		if !ok || at.Filter != filterSum(f) {
			return 0, after, fault.Newf(fault.Malformed, "", "cursor", "the cursor is not of this listing with this filter")
		}
		after = at.Position
	}
	return limit, after, nil
}

// cursor is a place in a listing with this filter. It is opaque to callers.
type cursor struct {
	Position queue.Position
	Filter   string
}

type cursorForm struct {
	At     int64  `json:"t"`
	ID     string `json:"i"`
	Filter string `json:"f"`
}

func (k cursor) String() string {
	data, err := json.Marshal(cursorForm{k.Position.CreatedAt.UnixMicro(), k.Position.ID, k.Filter})
	if err != nil {
		panic("serve: " + err.Error()) // three plain fields
	}
	return base64.RawURLEncoding.EncodeToString(data)
}

func parseCursor(text string) (cursor, bool) {
	data, err := base64.RawURLEncoding.DecodeString(text)
	var form cursorForm
	if err != nil || len(text) > 400 || json.Unmarshal(data, &form) != nil || form.ID == "" {
		return cursor{}, false
	}
	return cursor{queue.Position{CreatedAt: time.UnixMicro(form.At).UTC(), ID: form.ID}, form.Filter}, true
}

func filterSum(f queue.Filter) string {
	sum := sha256.Sum256([]byte(string(f.State) + "\x00" + f.OrderRef + "\x00" + f.BatchID))
	return hex.EncodeToString(sum[:6])
}
