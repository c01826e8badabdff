package serve

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/produce"
	"tamis/pkg/queue"
	"tamis/pkg/shop"
)

// postNest queues a nest.
//
//	@Summary		Nest the films of several jobs
//	@Description	Lays the TIFF films of finished jobs on one roll, or on sheets where the device has a max_length_mm, on the least film, and answers 202 with a job like any other: its `result.nest` has the sheets, and where each film lies, in mm and device pixels from the sheet's top left. `gap_mm` (5) lies between films; `cut_marks` (true) stand in the gap at their corners, none where it is 0; `rotate` (true) lets films be turned by 90 degrees where the device's pixels are square. The films must have been made for this device; `device` is one of the shop's, its default where none is named, or given inline.
//	@Tags			jobs
//	@Accept			json
//	@Produce		json
//	@Param			Idempotency-Key	header		string		false	"repeat a call safely"
//	@Param			Prefer			header		string		false	"wait=seconds, at most 60"
//	@Param			nest			body		order.Nest	true	"the nest"
//	@Success		202				{object}	JobDoc
//	@Failure		400,409,413,415,422,503	{object}	Problem
//	@Router			/v1/nests [post]
func (a *api) postNest(c *gin.Context) {
	key, err := idempotencyKey(c)
	if err != nil {
		fail(c, err)
		return
	}
	body, err := jsonBody(c)
	if err != nil {
		fail(c, err)
		return
	}
	n, err := order.ParseNest(body)
	if err == nil {
		n, err = n.Complete()
	}
	if err != nil {
		fail(c, err)
		return
	}
	made, err := a.createNest(c.Request.Context(), shopOf(c), n, idempotent("/v1/nests", key, body))
	if err != nil {
		fail(c, err)
		return
	}
	a.accepted(c, made)
}

// createNest makes the job once the nest has been laid out for a trial: what cannot be is said at once.
func (a *api) createNest(ctx context.Context, owner library.ShopID, n order.Nest,
	idem *queue.Idempotency) (queue.Created, error) {
	device, err := a.nestDevice(ctx, owner, n)
	if err != nil {
		return queue.Created{}, err
	}
	members, err := a.nestMembers(ctx, owner, n.Jobs)
	if err != nil {
		return queue.Created{}, err
	}
	created := a.Now().UTC().Truncate(time.Microsecond)
	job := library.NewNest(created, n, device, members)
	in, err := a.Library.NestInput(ctx, owner, job, n)
	if err != nil {
		return queue.Created{}, err
	}
	if _, err := produce.PlanNest(in); err != nil {
		return queue.Created{}, err
	}
	doc, err := json.Marshal(job)
	if err != nil {
		return queue.Created{}, err
	}
	return a.enqueue(ctx, job.Work, queue.NewJob{Shop: string(owner), ID: newJobID(created), Lane: queue.Lane(n.Lane),
		OrderRef: n.OrderRef, Doc: doc, Idempotency: idem})
}

// nestDevice finds the device that a nest names, or the shop's default.
func (a *api) nestDevice(ctx context.Context, owner library.ShopID, n order.Nest) (shop.Device, error) {
	if n.Device.Inline != nil {
		return *n.Device.Inline, nil
	}
	s, err := a.Library.Snapshot(ctx, owner)
	if err != nil {
		return shop.Device{}, err
	}
	id := n.Device.ID
	if id == "" {
		id = s.Profile.DefaultDevice
	}
	d, ok := s.Devices.Find(id)
	if !ok {
		return d, fault.Invalidf("/device", "unknown_device", "there is no film device %.60q in /v1/shop/devices", id)
	}
	return d, nil
}

// nestMembers finds the works of the jobs; every one that cannot be nested is named.
func (a *api) nestMembers(ctx context.Context, owner library.ShopID, jobs []string) ([]library.NestMember, error) {
	var faults fault.List
	var members []library.NestMember
	for i, id := range jobs {
		work, err := a.finishedWork(ctx, owner, id)
		switch f := fault.Of(err); {
		case err == nil:
			members = append(members, library.NestMember{Job: id, Work: work})
		case f.Kind == fault.NotFound:
			faults.Add(fault.Invalidf(fmt.Sprintf("/jobs/%d", i), "unknown_job", "there is no job %.60q here", id))
		case f.Kind == fault.Invalid:
			faults.Add(fault.Invalidf(fmt.Sprintf("/jobs/%d", i), f.Code, "%s", f.Msg))
		default:
			return nil, err
		}
	}
	return members, faults.Err()
}

// finishedWork is the work of a job that has films.
func (a *api) finishedWork(ctx context.Context, owner library.ShopID, id string) (library.WorkID, error) {
	record, err := a.Queue.Get(ctx, string(owner), id)
	if err != nil {
		return "", err
	}
	if record.State != queue.Done {
		return "", fault.Invalidf("", "job_not_done", "%.60q is %s; the films of finished jobs can be nested", id, record.State)
	}
	raw, err := a.Queue.Doc(ctx, string(owner), id)
	if err != nil {
		return "", err
	}
	if _, _, ok, err := library.ParseNest(raw); err != nil {
		return "", err
	} else if ok {
		return "", fault.Invalidf("", "nest_of_nest", "%.60q is a nest itself; name the jobs it was made of", id)
	}
	job, _, err := library.ParseJob(raw)
	return job.Work, err
}
