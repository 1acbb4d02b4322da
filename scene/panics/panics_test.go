package panics

import (
	"strings"
	"sync"
	"testing"
)

func caught(do func()) (p *Panic) {
	defer func() {
		if v := recover(); v != nil {
			p = Of(v)
		}
	}()
	do()
	return nil
}

func fails() { panic("the value") }

// TestCarriedAcross: through two waits, a panic keeps its value and the stack of its place, and is told once.
func TestCarriedAcross(t *testing.T) {
	told := 0
	outer := Carrier{Then: func() { told++ }}
	p := caught(func() {
		var all sync.WaitGroup
		for range 3 {
			all.Go(func() {
				defer outer.Catch()
				var inner Carrier
				var one sync.WaitGroup
				one.Go(func() {
					defer inner.Catch()
					fails()
				})
				one.Wait()
				inner.Throw()
			})
		}
		all.Wait()
		outer.Throw()
	})
	if p == nil || p.Error() != "the value" || !strings.Contains(p.Stack, "panics.fails(") || told != 1 {
		t.Errorf("%+v, told %d times", p, told)
	}
}

func TestNothingToThrow(t *testing.T) {
	var c Carrier
	if p := caught(func() {
		defer c.Throw()
		defer c.Catch()
	}); p != nil {
		t.Error(p)
	}
}
