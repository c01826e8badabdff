package library

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/produce"
	"tamis/pkg/shop"
)

// NestJob is the document a nest is made from, beside Job: what the queue reads stands at the top of both. Device is
// the one the nest names, as it was.
type NestJob struct {
	CreatedAt time.Time       `json:"created_at"`
	Lane      string          `json:"lane"`
	OrderRef  string          `json:"order_ref,omitempty"`
	Work      WorkID          `json:"work"`
	Nest      json.RawMessage `json:"nest"`
	Device    shop.Device     `json:"device"`
	Members   []NestMember    `json:"members"`
}

// NestMember is a finished job whose films are nested, and the work that made them.
type NestMember struct {
	Job  string `json:"job"`
	Work WorkID `json:"work"`
}

// NewNest makes the document from a complete nest. Its work is the hash of all that decides the nest's bytes.
func NewNest(createdAt time.Time, n order.Nest, d shop.Device, members []NestMember) NestJob {
	made, err := json.Marshal(struct {
		Engine  int
		Nest    json.RawMessage
		Device  shop.Device
		Members []NestMember
	}{plan.Engine, n.Canonical(), d, members})
	if err != nil {
		panic("library: " + err.Error()) // plain data
	}
	return NestJob{CreatedAt: createdAt, Lane: n.Lane, OrderRef: n.OrderRef, Work: WorkID("w" + sumHex(made)),
		Nest: n.Canonical(), Device: d, Members: members}
}

// ParseNest reads a nest's document; ok is false where the document is a job's.
func ParseNest(doc []byte) (j NestJob, n order.Nest, ok bool, err error) {
	if err := json.Unmarshal(doc, &j); err != nil {
		return j, n, false, fmt.Errorf("job document: %w", err)
	}
	if j.Nest == nil {
		return j, n, false, nil
	}
	if n, err = order.ParseNest(j.Nest); err != nil {
		return j, n, false, fmt.Errorf("nest in job document: %w", err)
	}
	return j, n, true, nil
}

// NestInput gathers the films of a nest: every TIFF of its jobs. A job whose films are gone, or were asked for as PDF
// alone, is fault.Invalid at its place in /jobs.
func (l *Library) NestInput(ctx context.Context, owner ShopID, j NestJob, n order.Nest) (produce.NestInput, error) {
	in := produce.NestInput{Nest: n, Device: j.Device}
	for i, m := range j.Members {
		at := fmt.Sprintf("/jobs/%d", i)
		r, stands, err := l.Finished(ctx, owner, m.Work)
		if err != nil {
			return in, err
		}
		if !stands {
			return in, fault.Invalidf(at, "films_lost", "the films of %s are gone; send its order again", m.Job)
		}
		before := len(in.Members)
		for _, f := range r.Films {
			if f.Format == "tiff" {
				in.Members = append(in.Members, produce.NestMember{Job: m.Job, Film: f})
			}
		}
		if len(in.Members) == before {
			return in, fault.Invalidf(at, "no_tiff", "%s has no TIFF films; order it with tiff among film.formats", m.Job)
		}
	}
	return in, nil
}
