package queue

import (
	"context"

	"tamis/pkg/fault"
)

// Cancel stops a job. A queued one ends at once; a running one is told, and ends as canceled when its worker hears
// of it. An ended one is fault.Conflict, an unknown one fault.NotFound.
func (q *Queue) Cancel(ctx context.Context, shop, id string) error {
	if !validName(shop) || !validName(id) {
		return jobNotFound(id)
	}
	answer, err := q.run(ctx, cancelLua, shop, id)
	if err == nil && answer[0] == "missing" {
		if err = q.rebuild(ctx, shop, id); err == nil {
			answer, err = q.run(ctx, cancelLua, shop, id)
		}
	}
	if err != nil {
		return err
	}
	switch answer[0] {
	case "missing":
		return jobNotFound(id)
	case "ended":
		return fault.Newf(fault.Conflict, "", "job_ended", "the job is %s and cannot be cancelled", answer[1])
	case "canceled":
		q.writeEndSoon(ctx, shop, id)
		return nil
	}
	return q.putDoc(ctx, stopKey(shop, id), []byte("{}")) // the wish outlives Redis
}
