package queue

import (
	"encoding/json"
	"fmt"
	"strconv"
	"time"

	"tamis/pkg/fault"
)

// State is where a job stands.
type State string

// The states. Done, Failed and Canceled are ends: a job has one and keeps it.
const (
	Queued   State = "queued"
	Running  State = "running"
	Done     State = "done"
	Failed   State = "failed"
	Canceled State = "canceled"
)

// Ended tells whether the state is an end.
func (s State) Ended() bool { return s == Done || s == Failed || s == Canceled }

// Lane is which of the three lines a job stands in.
type Lane string

// The lanes. A worker looks into rush six times as often as into bulk, and three times into normal.
const (
	Rush   Lane = "rush"
	Normal Lane = "normal"
	Bulk   Lane = "bulk"
)

// Problem is why a job failed: what a fault says, without its cause.
type Problem struct {
	Kind  fault.Kind `json:"kind"`
	Code  string     `json:"code"`
	Field string     `json:"field,omitempty"`
	Msg   string     `json:"message"`
}

// ProblemOf takes from err what its fault says.
func ProblemOf(err error) *Problem {
	f := fault.Of(err)
	return &Problem{Kind: f.Kind, Code: f.Code, Field: f.Field, Msg: f.Msg}
}

// Fault makes the problem an error again.
func (p *Problem) Fault() *fault.Error { return fault.Newf(p.Kind, p.Field, p.Code, "%s", p.Msg) }

// Outcome is how a job ends. Manifest is the key of its manifest when it is done, Problem why it failed.
type Outcome struct {
	State    State
	Manifest string
	Problem  *Problem
}

// Record is a job as Redis has it, or as it follows from the documents.
type Record struct {
	Shop, ID string
	State    State
	Lane     Lane
	OrderRef string
	BatchID  string

	CreatedAt time.Time // microseconds, UTC
	StartedAt time.Time // of the latest attempt's claim; zero before the first
	EndedAt   time.Time // zero before the end
	Attempts  int       // claims that were not given back

	Done, Total int // progress, in whatever the work counts
	Stage       string

	CancelAsked bool // a running job that was told to stop
	Manifest    string
	Problem     *Problem
}

// Position is the record's place in a listing.
func (r Record) Position() Position { return Position{CreatedAt: r.CreatedAt, ID: r.ID} }

// recordOf reads the hash of a job.
func recordOf(shop, id string, h map[string]string) Record {
	r := Record{
		Shop: shop, ID: id, State: State(h["state"]), Lane: Lane(h["lane"]), OrderRef: h["order_ref"], BatchID: h["batch_id"],
		StartedAt: milliTime(h["started"]), EndedAt: milliTime(h["ended"]), Attempts: number(h["attempts"]),
		Done: number(h["done"]), Total: number(h["total"]), Stage: h["stage"],
		CancelAsked: h["cancel"] == "1", Manifest: h["manifest"], Problem: problemOf(h["problem"]),
	}
	if us, err := strconv.ParseInt(h["created"], 10, 64); err == nil {
		r.CreatedAt = time.UnixMicro(us).UTC()
	}
	return r
}

func problemOf(text string) *Problem {
	var p Problem
	if text == "" || json.Unmarshal([]byte(text), &p) != nil {
		return nil
	}
	return &p
}

func problemText(p *Problem) string {
	if p == nil {
		return ""
	}
	text, err := json.Marshal(p)
	if err != nil {
		panic(fmt.Sprintf("queue: problem does not encode: %v", err)) // four plain fields: cannot happen
	}
	return string(text)
}

func number(text string) int {
	n, _ := strconv.Atoi(text) // "" = 0: a field that is not there yet
	return n
}

func milliTime(text string) time.Time {
	ms, err := strconv.ParseInt(text, 10, 64)
	if err != nil || ms == 0 {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}
