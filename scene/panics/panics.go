// Package panics carries a panic from the goroutine in which it happens to the one that waits for it, with the stack of
// its place. Without that, a panic in a goroutine ends the process at once, and nobody can say what to do about it.
// Next: package parallel, whose workers it serves; the command line, which tells the user.
package panics

import (
	"fmt"
	"runtime/debug"
	"sync/atomic"
)

// Panic is a panic that was caught: its value, and the stack of its goroutine.
type Panic struct {
	Value any
	Stack string
}

// Error says the value alone.
func (p *Panic) Error() string { return fmt.Sprint(p.Value) }

// Of returns what a deferred function recovered as a Panic: itself where it is one that was carried, else with the
// stack, which still holds the place of the panic.
func Of(recovered any) *Panic {
	if p, is := recovered.(*Panic); is {
		return p
	}
	return &Panic{recovered, string(debug.Stack())}
}

// Carrier keeps the first panic of several goroutines. Then is called with it, if there is one; the zero Carrier is
// ready.
type Carrier struct {
	Then  func()
	first atomic.Pointer[Panic]
}

// Catch is deferred by a goroutine.
func (c *Carrier) Catch() {
	if recovered := recover(); recovered != nil && c.first.CompareAndSwap(nil, Of(recovered)) && c.Then != nil {
		c.Then()
	}
}

// Throw panics with what was caught, if anything was. Who waits for the goroutines calls it when they have ended.
func (c *Carrier) Throw() {
	if p := c.first.Load(); p != nil {
		panic(p)
	}
}
