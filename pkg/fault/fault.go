// Package fault is the one error type of Tamis.
//
// What goes in: a kind (what sort of trouble), a stable code, the field at fault as a JSON pointer, and a sentence
// for the person who must act, with the value, the limit and the unit. What comes out: an error that the HTTP layer
// maps to a problem document in one place. It knows no status codes: a kind is a trade fact, a status is HTTP.
//
// A finding on artwork is data, not a fault. A bug of our own is a panic, not a fault.
package fault

import (
	"errors"
	"fmt"
)

// Kind says what sort of trouble an error is; the HTTP layer gives each kind one status.
type Kind int

// The kinds. Internal is the zero value: an error nobody classified is our own.
const (
	Internal      Kind = iota // ours: logged with its cause, shown with a fixed text
	Malformed                 // the request cannot be read: JSON, types, unknown fields
	Invalid                   // readable, but a value cannot be
	NotFound                  // no such thing, or not this shop's
	Conflict                  // the thing is in a state that forbids the call
	TooLarge                  // over a byte or pixel limit
	Unsupported               // a media type we do not read
	Precondition              // If-Match does not hold
	Busy                      // try again later
	Canceled                  // the job was cancelled while at work
	Unavailable               // Redis or the store does not answer
	Unconditional             // If-Match is wanted and was not given
	Gone                      // there was such a thing; its time is over
)

// Kinds lists every kind, so that a test can show that each has a status.
var Kinds = []Kind{Internal, Malformed, Invalid, NotFound, Conflict, TooLarge, Unsupported, Precondition, Busy,
	Canceled, Unavailable, Unconditional, Gone}

// Error is a fault. Field is a JSON pointer into the request ("/halftone/lpi"), empty where no field is at fault.
// Err is the cause, for the log only: it never reaches a caller.
type Error struct {
	Kind  Kind
	Code  string
	Field string
	Msg   string
	Err   error
}

// Error gives the sentence, and the cause behind it.
func (e *Error) Error() string {
	if e.Err != nil {
		return e.Msg + ": " + e.Err.Error()
	}
	return e.Msg
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// Newf makes a fault of any kind.
func Newf(kind Kind, field, code, format string, args ...any) *Error {
	return &Error{Kind: kind, Code: code, Field: field, Msg: fmt.Sprintf(format, args...)}
}

// Invalidf makes a fault of kind Invalid: a value that cannot be, with what would do.
func Invalidf(field, code, format string, args ...any) *Error {
	return Newf(Invalid, field, code, format, args...)
}

// Wrap gives err a kind and a code and keeps it as the cause.
func Wrap(err error, kind Kind, code, msg string) *Error {
	return &Error{Kind: kind, Code: code, Msg: msg, Err: err}
}

// List is several faults found in one reading: validation returns every bad field, not the first.
type List []*Error

// Error gives the first sentence and says how many follow.
func (l List) Error() string {
	switch len(l) {
	case 0:
		return "no faults"
	case 1:
		return l[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", l[0].Error(), len(l)-1)
}

// Add appends err when it is a fault; a List is flattened; nil adds nothing. A foreign error becomes Internal.
func (l *List) Add(err error) {
	if err == nil {
		return
	}
	var many List
	if errors.As(err, &many) {
		*l = append(*l, many...)
		return
	}
	*l = append(*l, Of(err))
}

// Err gives nil for an empty list, the single fault for one, the list for several.
func (l List) Err() error {
	switch len(l) {
	case 0:
		return nil
	case 1:
		return l[0]
	}
	return l
}

// Of finds the fault in err; a foreign error becomes Internal with a fixed sentence and err as its cause.
func Of(err error) *Error {
	var e *Error
	if errors.As(err, &e) {
		return e
	}
	var l List
	if errors.As(err, &l) && len(l) > 0 {
		return l[0]
	}
	return &Error{Kind: Internal, Code: "internal", Msg: "something went wrong on our side", Err: err}
}

// All gives every fault in err, at least one for a non-nil err.
func All(err error) List {
	var l List
	if errors.As(err, &l) {
		return l
	}
	return List{Of(err)}
}

// Is tells whether err is a fault of this kind.
func Is(err error, kind Kind) bool { return err != nil && Of(err).Kind == kind }
