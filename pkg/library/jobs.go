package library

import (
	"encoding/json"
	"fmt"
	"time"

	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/shop"
)

// Job is the document a job is made from: immutable, written before anything is queued. CreatedAt, Lane and OrderRef
// stand at the top, where the queue reads them. Snapshot is the shop as it was: a later edit changes no rerun. Of an order
// with a list of prints a job makes one, PrintN; OrderWork is then what the order's quote is addressed by.
type Job struct {
	CreatedAt  time.Time       `json:"created_at"`
	Lane       string          `json:"lane"`
	OrderRef   string          `json:"order_ref,omitempty"`
	QuoteID    string          `json:"quote_id,omitempty"` // of the quote it was ordered under
	Work       WorkID          `json:"work"`
	PrintN     int             `json:"print_n,omitempty"`
	OrderWork  WorkID          `json:"order_work,omitempty"`
	Order      json.RawMessage `json:"order"`
	ArtworkSHA string          `json:"artwork_sha256"`
	Snapshot   shop.Snapshot   `json:"snapshot"`
}

// NewJob makes the document from a complete order, for its n-th print where it has a list of them.
func NewJob(createdAt time.Time, o order.Order, n int, artworkSHA string, s shop.Snapshot) Job {
	j := Job{CreatedAt: createdAt, Lane: o.Lane, OrderRef: o.OrderRef, Work: Work(o, artworkSHA, s),
		Order: o.Canonical(), ArtworkSHA: artworkSHA, Snapshot: s}
	if o.Prints != nil {
		j.PrintN, j.OrderWork, j.Work = n, j.Work, j.Work.OfPrint(n)
	}
	return j
}

// Quoted is the work of the order whose quote the job's result carries.
func (j Job) Quoted() WorkID {
	if j.OrderWork != "" {
		return j.OrderWork
	}
	return j.Work
}

// OfPrint is the work that makes the films of one print of an order.
func (w WorkID) OfPrint(n int) WorkID {
	return WorkID("w" + sumHex(fmt.Appendf(nil, "%s print %d", w, n)))
}

// Work is the hash of everything that decides a result's bytes: artwork, canonical order, snapshot, engine version.
// artworkSHA is that of the order's artwork, or those of its prints with a space between two.
func Work(o order.Order, artworkSHA string, s shop.Snapshot) WorkID {
	return WorkUnder(o, artworkSHA, Text(s))
}

// WorkUnder is Work, with the snapshot's text: who addresses several works under one snapshot writes it once.
func WorkUnder(o order.Order, artworkSHA string, text []byte) WorkID {
	made := fmt.Appendf(nil, "engine %d\nartwork %s\norder %s\nshop %s\n", plan.Engine, artworkSHA, o.Canonical(), text)
	return WorkID("w" + sumHex(made))
}

// Text is a snapshot as it is kept and hashed.
func Text(s shop.Snapshot) []byte {
	text, err := json.Marshal(s)
	if err != nil {
		panic("library: " + err.Error()) // a snapshot is plain data
	}
	return text
}

// Label is the short form of a work id, for films and sheets that have no order reference.
func (w WorkID) Label() string { return string(w[:min(11, len(w))]) }

// ParseJob reads a job's document.
func ParseJob(doc []byte) (Job, order.Order, error) {
	var j Job
	if err := json.Unmarshal(doc, &j); err != nil {
		return j, order.Order{}, fmt.Errorf("job document: %w", err)
	}
	o, err := order.Parse(j.Order)
	if err != nil {
		return j, o, fmt.Errorf("order in job document: %w", err)
	}
	return j, o, nil
}
