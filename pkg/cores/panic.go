package cores

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// Panic is what a panic leaves: its value, and the stack of the goroutine that panicked. As an error it is a cause for
// the log; the stack is in no message, and an error that was the value is not unwrapped: a panic is never a fault of
// the kind its value has.
type Panic struct {
	Value any
	Stack []byte
}

// PanicOf is the panic of a value just recovered: the one raised again by this package as it is, any other with the
// stack of the calling goroutine, which is that of the panic while the deferred call runs. nil is none.
func PanicOf(recovered any) *Panic {
	if recovered == nil {
		return nil
	}
	if p, ok := recovered.(*Panic); ok {
		return p
	}
	return &Panic{recovered, debug.Stack()}
}

// Error gives the value in words.
func (p *Panic) Error() string { return fmt.Sprintf("panic: %v", p.Value) }

// firstPanic is the first panic of several goroutines. The zero value has none.
type firstPanic struct {
	once sync.Once // guards p until all have ended
	p    *Panic
}

// keep takes what was recovered, nil for nothing, and gives it back as a panic.
func (f *firstPanic) keep(recovered any) *Panic {
	p := PanicOf(recovered)
	if p != nil {
		f.once.Do(func() { f.p = p })
	}
	return p
}

// raise panics where one did. All must have ended.
func (f *firstPanic) raise() {
	if f.p != nil {
		panic(f.p)
	}
}
