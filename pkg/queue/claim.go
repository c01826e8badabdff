package queue

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"strconv"

	"github.com/redis/go-redis/v9"

	"tamis/pkg/fault"
)

const redisNil = redis.Nil

// ErrLost says that a claim is not held any more: the lease died and the job is another's, or Redis was emptied.
// What the holder still does changes nothing.
var ErrLost = fault.Newf(fault.Conflict, "", "claim_lost", "the job is not this worker's any more")

// Claim is the right to work on a job, until it ends, is given back, or the lease dies.
type Claim struct {
	Shop, ID string
	Token    string
	Attempt  int // from 1
}

// poison is the end of a job that took its worker down too often.
func poison(attempts int) *Problem {
	return ProblemOf(fault.Newf(fault.Internal, "", "poison",
		"the job stopped its worker %d times and is not tried again; the artwork may be the cause", attempts))
}

// Claim takes a job whose doorbell rang. fault.Conflict says that there is nothing to do for this worker now:
// the job has ended (job_ended), is held by another (job_held), or its shop has enough at work (shop_full: it rings
// again). fault.NotFound: there is no such job.
func (q *Queue) Claim(ctx context.Context, shop, id string) (Claim, error) {
	var random [16]byte
	rand.Read(random[:])
	token := hex.EncodeToString(random[:])
	answer, err := q.claim(ctx, shop, id, token)
	if err == nil && answer[0] == "missing" {
		if err = q.rebuild(ctx, shop, id); err == nil {
			answer, err = q.claim(ctx, shop, id, token)
		}
	}
	if err != nil {
		return Claim{}, err
	}
	switch answer[0] {
	case "claimed":
		return q.confirm(ctx, Claim{Shop: shop, ID: id, Token: token, Attempt: number(answer[1])})
	case "ended":
		q.writeEndSoon(ctx, shop, id)
		return Claim{}, jobEnded(id, State(answer[1]))
	case "held":
		return Claim{}, fault.Newf(fault.Conflict, "", "job_held", "job %s is at work elsewhere", id)
	case "full":
		return Claim{}, fault.Newf(fault.Conflict, "", "shop_full", "shop %s has %d jobs at work", shop, q.cfg.MaxPerShop)
	}
	return Claim{}, jobNotFound(id)
}

func (q *Queue) claim(ctx context.Context, shop, id, token string) ([]string, error) {
	return q.run(ctx, claimLua, shop, id, token, ms(q.cfg.Lease), strconv.Itoa(q.cfg.MaxAttempts),
		strconv.Itoa(q.cfg.MaxPerShop), problemText(poison(q.cfg.MaxAttempts)), ms(q.cfg.RingAgain))
}

// confirm looks whether the documents know an end that the record forgot: a Redis that came back with an old
// state would have a job done again. Else it notes there that the attempt has begun.
func (q *Queue) confirm(ctx context.Context, c Claim) (Claim, error) {
	e, over, err := q.readEnd(ctx, c.Shop, c.ID)
	if err != nil {
		return Claim{}, q.putOff(ctx, c, err)
	}
	if !over {
		if err := q.putBegun(ctx, c.Shop, c.ID, c.Attempt); err != nil {
			return Claim{}, q.putOff(ctx, c, err)
		}
		return c, nil
	}
	err = q.Commit(ctx, c, Outcome{State: e.State, Manifest: e.Manifest, Problem: e.Problem})
	if err != nil {
		return Claim{}, err
	}
	return Claim{}, jobEnded(c.ID, e.State)
}

// putOff gives a job back whose documents cannot be read now. Its bell rings after a pause, by the sweeper; the answer
// is a Conflict, so that the task that rang does not ring beside it: each would make another, every time.
func (q *Queue) putOff(ctx context.Context, c Claim, cause error) error {
	q.log.Warn("queue: a job is put off", "shop", c.Shop, "job", c.ID, "error", cause)
	_, err := q.run(ctx, givebackLua, c.Shop, c.ID, "release", c.Token, "0", ms(q.cfg.RetryPause), "")
	return errors.Join(fault.Wrap(cause, fault.Conflict, "job_put_off", "the job's documents cannot be read or written now"), err)
}

func jobEnded(id string, state State) error {
	return fault.Newf(fault.Conflict, "", "job_ended", "job %s is %s", id, state)
}

// Extend renews the lease. stop tells that the job is to be cancelled; ErrLost that the claim is gone.
func (q *Queue) Extend(ctx context.Context, c Claim) (stop bool, err error) {
	return q.hold(ctx, c, "", "", "")
}

// Progress notes how far the work is and tells whoever watches; it renews the lease as well.
func (q *Queue) Progress(ctx context.Context, c Claim, done, total int, stage string) error {
	_, err := q.hold(ctx, c, strconv.Itoa(done), strconv.Itoa(total), stage)
	return err
}

func (q *Queue) hold(ctx context.Context, c Claim, done, total, stage string) (stop bool, err error) {
	answer, err := q.run(ctx, holdLua, c.Shop, c.ID, c.Token, ms(q.cfg.Lease), done, total, stage)
	if err != nil {
		return false, err
	}
	if answer[0] == "lost" {
		return false, ErrLost
	}
	return answer[0] == "stop", nil
}

// Canceled tells whether the job was told to stop. A Redis that does not answer says no: Extend tells of it.
func (q *Queue) Canceled(ctx context.Context, c Claim) bool {
	flag, err := q.redis.HGet(ctx, q.recordKey(c.Shop, c.ID), "cancel").Result()
	return err == nil && flag == "1"
}

// StopSignal gives a channel that gets a value soon after the job was told to stop; leave must be called. A signal
// can be lost, so Extend says it as well.
func (q *Queue) StopSignal(c Claim) (stop <-chan struct{}, leave func()) {
	return q.hub.wait(stopName(c.Shop, c.ID))
}

// Commit ends the job. Only the holder of the token can: anyone else gets ErrLost and changes nothing. The script
// writes state, event and the row for the documents together; the documents follow, here or by the sweeper.
// A job that was told to stop ends as canceled, whatever the outcome. The holder may commit again.
func (q *Queue) Commit(ctx context.Context, c Claim, o Outcome) error {
	if !o.State.Ended() {
		return fault.Newf(fault.Internal, "", "job_outcome", "job %s: %q is no end", c.ID, o.State)
	}
	answer, err := q.run(ctx, commitLua, c.Shop, c.ID, c.Token, string(o.State), o.Manifest, problemText(o.Problem))
	if err != nil {
		return err
	}
	if answer[0] == "lost" {
		return ErrLost
	}
	q.writeEndSoon(ctx, c.Shop, c.ID)
	q.ringWaiting(ctx, c.Shop)
	return nil
}

// Release gives the job back unfinished, as a worker that stops does. The attempt does not count, neither in the
// documents, which are told first: the next to begin writes after.
func (q *Queue) Release(ctx context.Context, c Claim) error {
	if err := q.putBegun(ctx, c.Shop, c.ID, c.Attempt-1); err != nil {
		q.log.Warn("queue: an attempt given back stays counted", "shop", c.Shop, "job", c.ID, "error", err)
	}
	_, err := q.giveBack(ctx, c.Shop, c.ID, "release", c.Token, "0", nil)
	return err
}

// Retry gives the job back after a trouble of ours, to be tried again after a pause. The attempt counts: when all
// are used up the job fails with this problem, and ended is true.
func (q *Queue) Retry(ctx context.Context, c Claim, p *Problem) (ended bool, err error) {
	return q.giveBack(ctx, c.Shop, c.ID, "retry", c.Token, ms(q.cfg.RetryPause), p)
}

// giveBack puts a job in line again and rings for it, or learns that it has ended.
func (q *Queue) giveBack(ctx context.Context, shop, id, mode, token, pause string, p *Problem) (ended bool, err error) {
	answer, err := q.run(ctx, givebackLua, shop, id, mode, token, strconv.Itoa(q.cfg.MaxAttempts), pause, problemText(p))
	if err != nil {
		return false, err
	}
	if answer[0] == "lost" {
		return false, ErrLost
	}
	q.ringWaiting(ctx, shop)
	switch answer[0] {
	case "ended":
		q.writeEndSoon(ctx, shop, id)
		return true, nil
	case "queued":
		if mode == "retry" {
			return false, nil // rings when its pause is over
		}
		return false, q.ringNow(ctx, shop, id, Lane(answer[1]), number(answer[2]))
	}
	return false, nil
}

// writeEndSoon takes an end to the documents now if it can; else the sweeper does.
func (q *Queue) writeEndSoon(ctx context.Context, shop, id string) {
	if err := q.writeEnd(ctx, shop, id); err != nil {
		q.log.Warn("queue: end left to the sweeper", "shop", shop, "job", id, "error", err)
	}
}

// ringWaiting rings for the job that has waited longest for its shop to have less at work.
func (q *Queue) ringWaiting(ctx context.Context, shop string) {
	if q.cfg.MaxPerShop == 0 {
		return
	}
	next, err := q.redis.ZPopMin(ctx, q.base(shop)+"waiting", 1).Result()
	if err == nil && len(next) == 0 {
		return
	}
	var answer []string
	if err == nil {
		id := next[0].Member.(string) // the members of a sorted set are strings
		if answer, err = q.run(ctx, ringLua, shop, id, "again", "0"); err == nil && answer[0] == "queued" {
			err = q.ringNow(ctx, shop, id, Lane(answer[1]), number(answer[2]))
		}
	}
	if err != nil {
		q.log.Warn("queue: a waiting job is left to the sweeper", "shop", shop, "error", err)
	}
}

// ringNow enqueues the doorbell of a job and notes when to look at it again.
func (q *Queue) ringNow(ctx context.Context, shop, id string, lane Lane, epoch int) error {
	if _, err := q.bell.ring(ctx, shop, id, lane, epoch); err != nil {
		return redisFault(err)
	}
	_, err := q.run(ctx, ringLua, shop, id, "rung", ms(q.cfg.RingAgain))
	return err
}
