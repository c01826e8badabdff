package serve

import (
	"errors"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/queue"
)

// statusOf gives each kind of fault its status: the only place that knows one.
var statusOf = map[fault.Kind]int{
	fault.Internal: http.StatusInternalServerError, fault.Malformed: http.StatusBadRequest,
	fault.Invalid: http.StatusUnprocessableEntity, fault.NotFound: http.StatusNotFound,
	fault.Conflict: http.StatusConflict, fault.TooLarge: http.StatusRequestEntityTooLarge,
	fault.Unsupported: http.StatusUnsupportedMediaType, fault.Precondition: http.StatusPreconditionFailed,
	fault.Busy: http.StatusTooManyRequests, fault.Canceled: statusClientGone,
	fault.Unavailable: http.StatusServiceUnavailable, fault.Unconditional: http.StatusPreconditionRequired,
	fault.Gone: http.StatusGone,
}

// nameOf names each kind in a problem's type, which leads to its section of /docs.
var nameOf = map[fault.Kind]string{
	fault.Internal: "internal", fault.Malformed: "malformed", fault.Invalid: "invalid", fault.NotFound: "not-found",
	fault.Conflict: "conflict", fault.TooLarge: "too-large", fault.Unsupported: "unsupported",
	fault.Precondition: "precondition", fault.Busy: "busy", fault.Canceled: "canceled", fault.Unavailable: "unavailable",
	fault.Unconditional: "unconditional", fault.Gone: "gone",
}

// statusClientGone is for a caller that went away before the answer; nobody reads it.
const statusClientGone = 499

// Problem is an RFC 9457 problem document.
type Problem struct {
	Type    string    `json:"type" example:"/docs#problem-invalid"`
	Title   string    `json:"title" example:"Unprocessable Entity"`
	Status  int       `json:"status" example:"422"`
	Detail  string    `json:"detail" example:"120 lpi; 15 to 100 lpi can be"`
	Code    string    `json:"code" example:"out_of_range"`
	Pointer string    `json:"pointer,omitempty" example:"#/halftone/lpi"`
	Errors  []Faulted `json:"errors,omitempty"`
}

// Faulted is one field at fault.
type Faulted struct {
	Detail  string `json:"detail" example:"120 lpi; 15 to 100 lpi can be"`
	Pointer string `json:"pointer" example:"#/halftone/lpi"`
	Code    string `json:"code" example:"out_of_range"`
}

// fail hands an error to the problems middleware and ends the chain.
func fail(c *gin.Context, err error) {
	_ = c.Error(err) // gin gives the error back for chaining
	c.Abort()
}

// problems writes the problem document for the last error of a call. The cause is logged once, for our own faults and
// for what a decoder panicked over.
func (a *api) problems(c *gin.Context) {
	c.Next()
	if len(c.Errors) == 0 {
		return
	}
	err := c.Errors.Last().Err
	e := fault.Of(err)
	var p *cores.Panic
	if errors.As(err, &p) {
		a.logPanic(c, p)
	} else if e.Kind == fault.Internal || e.Kind == fault.Unavailable {
		a.Log.Error("call failed", "method", c.Request.Method, "route", c.FullPath(), "code", e.Code, "error", err)
	}
	if c.Writer.Written() {
		return
	}
	if e.Kind == fault.Busy || e.Kind == fault.Unavailable {
		c.Header("Retry-After", "5")
	}
	status := statusOf[e.Kind]
	if e.Code == noMethodCode {
		status = http.StatusMethodNotAllowed
	}
	write(c, status, problemOf(status, fault.All(err)))
}

func write(c *gin.Context, status int, p Problem) {
	c.Header("Cache-Control", "no-store")
	c.Header("Content-Type", "application/problem+json")
	c.JSON(status, p)
}

// problemOf puts faults into a document: the first leads, all with a field are listed.
func problemOf(status int, faults fault.List) Problem {
	lead := faults[0]
	title := http.StatusText(status)
	if title == "" {
		title = "Client closed the request"
	}
	p := Problem{Type: "/docs#problem-" + nameOf[lead.Kind], Title: title, Status: status, Detail: lead.Msg, Code: lead.Code}
	for _, f := range faults {
		if f.Field != "" {
			p.Errors = append(p.Errors, Faulted{Detail: f.Msg, Pointer: "#" + f.Field, Code: f.Code})
		}
	}
	if len(p.Errors) == 1 {
		p.Pointer = p.Errors[0].Pointer
	}
	return p
}

// jobProblem is why a job failed, as the job shows it.
func jobProblem(p *queue.Problem) *Problem {
	if p == nil {
		return nil
	}
	doc := problemOf(statusOf[p.Kind], fault.List{p.Fault()})
	return &doc
}

// recovery turns a panic of ours, also in a goroutine that package cores started, into an Internal fault, with the stack
// in the log.
func (a *api) recovery(c *gin.Context) {
	defer func() {
		if p := cores.PanicOf(recover()); p != nil {
			a.logPanic(c, p)
			if !c.Writer.Written() {
				write(c, http.StatusInternalServerError, problemOf(http.StatusInternalServerError, fault.All(p)))
			}
			c.Abort()
		}
	}()
	c.Next()
}

func (a *api) logPanic(c *gin.Context, p *cores.Panic) {
	a.Log.Error("panic", "method", c.Request.Method, "route", c.FullPath(), "panic", fmt.Sprint(p.Value),
		"stack", string(p.Stack))
}

const noMethodCode = "method_not_allowed"

func noRoute(c *gin.Context) error {
	return fault.Newf(fault.NotFound, "", "no_such_page", "there is nothing at %.100q; see /docs", c.Request.URL.Path)
}

func noMethod(c *gin.Context) error {
	return fault.Newf(fault.Malformed, "", noMethodCode, "%s cannot be called here; see /docs", c.Request.Method)
}
