package serve

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/produce"
	"tamis/pkg/queue"
)

// JobDoc is a job as callers see it.
type JobDoc struct {
	ID        string      `json:"id" example:"job_019b0c2f5a7e4c1d8e2f3a4b5c6d7e8f"`
	State     string      `json:"state" enums:"queued,running,done,failed,canceled"`
	Order     order.Order `json:"order,omitzero"`
	PrintN    int         `json:"print_n,omitempty"` // of an order with a list of prints: the one whose films these are
	Nest      *order.Nest `json:"nest,omitempty"`    // in place of an order
	Progress  Progress    `json:"progress"`
	CreatedAt string      `json:"created_at"`
	StartedAt string      `json:"started_at,omitempty"`
	EndedAt   string      `json:"ended_at,omitempty"`
	Attempts  int         `json:"attempts"`
	Result    *ResultDoc  `json:"result,omitempty"`
	Problem   *Problem    `json:"problem,omitempty"`
}

// Progress is how far a job is, in steps of its own.
type Progress struct {
	Done  int    `json:"done"`
	Total int    `json:"total"`
	Stage string `json:"stage"`
}

// ResultDoc is what a finished job answers with.
type ResultDoc struct{ produce.Result }

// postJob queues an order.
//
//	@Summary		Order films
//	@Description	Queues the job and answers 202; a worker makes films, proof, setup sheet and manifest. With an Idempotency-Key (1 to 255 printable ASCII, quoted or bare, kept 24 h) the same call again gives the same job; the key is per call, not per order: use order_ref for that. An order whose films are stored already is done at once. Prefer: wait=10 holds the answer until the job ends or the time is up. In place of an order, `{"quote_id": "quo_…"}` orders just what that quote priced, under the shop's documents as they were; 410 once it has ended. The films of an order with `prints` are made print by print: `print_n` beside the order or the `quote_id` says which; each job carries the whole order's quote.
//	@Tags			jobs
//	@Accept			json
//	@Produce		json
//	@Param			Idempotency-Key	header		string		false	"repeat a call safely"
//	@Param			Prefer			header		string		false	"wait=seconds, at most 60"
//	@Param			order			body		JobRequest	true	"the order, or a quote's id"
//	@Success		202				{object}	JobDoc
//	@Failure		400,409,410,413,415,422,503	{object}	Problem
//	@Router			/v1/jobs [post]
func (a *api) postJob(c *gin.Context) {
	key, err := idempotencyKey(c)
	if err != nil {
		fail(c, err)
		return
	}
	q, n, err := a.orderedOf(c)
	if err != nil {
		fail(c, err)
		return
	}
	made, err := a.create(c.Request.Context(), shopOf(c), q, n, idempotent("/v1/jobs", key, q.body))
	if err != nil {
		fail(c, err)
		return
	}
	a.accepted(c, made)
}

// accepted answers with a job just made.
func (a *api) accepted(c *gin.Context, made queue.Created) {
	if made.Replayed {
		c.Header("Idempotent-Replayed", "true")
	}
	a.hold(c, made.ID)
	doc, err := a.job(c.Request.Context(), shopOf(c), made.ID)
	if err != nil {
		fail(c, err)
		return
	}
	c.Header("Location", "/v1/jobs/"+made.ID)
	retryLater(c, doc)
	c.JSON(http.StatusAccepted, doc)
}

// create makes the job of the order's n-th print; one whose result stands already ends as it begins.
func (a *api) create(ctx context.Context, shop library.ShopID, q *asked, n int,
	idem *queue.Idempotency) (queue.Created, error) {
	created := a.Now().UTC().Truncate(time.Microsecond)
	job := library.NewJob(created, q.order, n, q.artworkSHAs, q.snapshot)
	job.QuoteID = q.quoteID
	doc, err := json.Marshal(job)
	if err != nil {
		return queue.Created{}, err
	}
	return a.enqueue(ctx, job.Work, queue.NewJob{Shop: string(shop), ID: newJobID(created), Lane: queue.Lane(q.order.Lane),
		OrderRef: q.order.OrderRef, Doc: doc, Idempotency: idem})
}

// enqueue queues a job of this work, ended where its result stands.
func (a *api) enqueue(ctx context.Context, work library.WorkID, n queue.NewJob) (queue.Created, error) {
	shop := library.ShopID(n.Shop)
	_, stands, err := a.Library.Finished(ctx, shop, work)
	if err != nil {
		return queue.Created{}, err
	}
	if stands {
		n.Done = &queue.Outcome{State: queue.Done, Manifest: library.ResultKey(shop, work)}
	}
	return a.Queue.Create(ctx, n)
}

// newJobID is a job's name: the time first, so that names sort by age, then 80 random bits.
func newJobID(at time.Time) string {
	var b [16]byte
	ms := uint64(at.UnixMilli())
	for i := range 6 {
		b[i] = byte(ms >> (8 * (5 - i)))
	}
	rand.Read(b[6:])
	return "job_" + hex.EncodeToString(b[:])
}

// idempotencyKey reads the header, bare or as a quoted string; "" is none.
func idempotencyKey(c *gin.Context) (string, error) {
	values := c.Request.Header.Values("Idempotency-Key")
	if len(values) == 0 {
		return "", nil
	}
	key := strings.TrimSpace(values[0])
	if n := len(key); n >= 2 && key[0] == '"' && key[n-1] == '"' {
		key = key[1 : n-1]
	}
	printable := !strings.ContainsFunc(key, func(r rune) bool { return r < ' ' || r > '~' })
	if len(values) > 1 || len(key) < 1 || len(key) > 255 || !printable {
		return "", fault.Newf(fault.Malformed, "", "idempotency_key",
			"an Idempotency-Key is one header of 1 to 255 printable ASCII characters")
	}
	return key, nil
}

// idempotent ties a key to this route and body; nil without a key.
func idempotent(route, key string, body []byte) *queue.Idempotency {
	if key == "" {
		return nil
	}
	sum := sha256.Sum256(body)
	return &queue.Idempotency{Key: "POST " + route + " " + key, Fingerprint: hex.EncodeToString(sum[:])}
}

// getJob gives a job.
//
//	@Summary		A job
//	@Description	With Prefer: wait=10 the answer is held until the job ends or the time is up.
//	@Tags			jobs
//	@Produce		json
//	@Param			id		path		string	true	"job id"
//	@Param			Prefer	header		string	false	"wait=seconds, at most 60"
//	@Success		200		{object}	JobDoc
//	@Failure		404,503	{object}	Problem
//	@Router			/v1/jobs/{id} [get]
func (a *api) getJob(c *gin.Context) {
	a.hold(c, c.Param("id"))
	doc, err := a.job(c.Request.Context(), shopOf(c), c.Param("id"))
	if err != nil {
		fail(c, err)
		return
	}
	retryLater(c, doc)
	if queue.State(doc.State).Ended() {
		conditional(c, doc)
		return
	}
	c.JSON(http.StatusOK, doc)
}

// deleteJob cancels a job.
//
//	@Summary		Cancel a job
//	@Description	A queued job ends at once, a running one within a second; 409 once it has ended.
//	@Tags			jobs
//	@Produce		json
//	@Param			id	path		string	true	"job id"
//	@Success		202	{object}	JobDoc
//	@Failure		404,409,503	{object}	Problem
//	@Router			/v1/jobs/{id} [delete]
func (a *api) deleteJob(c *gin.Context) {
	if err := a.Queue.Cancel(c.Request.Context(), string(shopOf(c)), c.Param("id")); err != nil {
		fail(c, err)
		return
	}
	doc, err := a.job(c.Request.Context(), shopOf(c), c.Param("id"))
	if err != nil {
		fail(c, err)
		return
	}
	c.Header("Location", "/v1/jobs/"+doc.ID)
	retryLater(c, doc)
	c.JSON(http.StatusAccepted, doc)
}

// job gathers a job's record, order and, when it is done, its result.
func (a *api) job(ctx context.Context, shop library.ShopID, id string) (JobDoc, error) {
	record, err := a.Queue.Get(ctx, string(shop), id)
	if err != nil {
		return JobDoc{}, err
	}
	return a.jobDoc(ctx, shop, record, true)
}

func (a *api) jobDoc(ctx context.Context, shop library.ShopID, r queue.Record, whole bool) (JobDoc, error) {
	raw, err := a.Queue.Doc(ctx, string(shop), r.ID)
	if err != nil {
		return JobDoc{}, err
	}
	doc := JobDoc{ID: r.ID, State: string(r.State), Progress: Progress{r.Done, r.Total, r.Stage},
		CreatedAt: stamp(r.CreatedAt), StartedAt: stamp(r.StartedAt), EndedAt: stamp(r.EndedAt), Attempts: r.Attempts,
		Problem: jobProblem(r.Problem)}
	whole = whole && r.State == queue.Done
	if j, n, ok, err := library.ParseNest(raw); err != nil {
		return JobDoc{}, err
	} else if ok {
		doc.Nest = &n
		return a.withResult(ctx, shop, doc, j.Work, whole)
	}
	job, o, err := library.ParseJob(raw)
	if err != nil {
		return JobDoc{}, err
	}
	doc.Order, doc.PrintN = o, job.PrintN
	if doc, err = a.withResult(ctx, shop, doc, job.Work, whole); err != nil || !whole {
		return doc, err
	}
	end, under := library.QuoteEndOf(job.QuoteID)
	if !under {
		end = library.QuoteEnd(r.CreatedAt, job.Snapshot.Profile.QuoteValidDays)
	}
	doc.Result.Quote = dated(doc.Result.Quote, job.Quoted(), end)
	return doc, nil
}

// withResult adds what the work made, where it is wanted.
func (a *api) withResult(ctx context.Context, shop library.ShopID, doc JobDoc, work library.WorkID,
	wanted bool) (JobDoc, error) {
	if !wanted {
		return doc, nil
	}
	result, err := a.Library.Result(ctx, shop, work)
	doc.Result = &ResultDoc{result}
	return doc, err
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339Nano)
}

// retryLater tells a caller when to look again, while the job has not ended.
func retryLater(c *gin.Context, doc JobDoc) {
	if !queue.State(doc.State).Ended() {
		c.Header("Retry-After", "1")
	}
}
