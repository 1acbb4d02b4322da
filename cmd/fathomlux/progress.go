package main

import (
	"fmt"
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"

	"fathomlux/scene/unit"
)

// bar shows how far a long computation is, in one line of a terminal.
type bar struct {
	to    *os.File // nil where nothing is shown
	what  string
	lock  sync.Mutex
	drawn time.Time
}

// progress returns a bar on standard error, which shows nothing where that is no terminal or where the caller wants
// quiet.
func progress(s streams, o common, what string) *bar {
	file, ok := terminalOf(s.Err)
	if !ok || o.quiet || !term.IsTerminal(int(file.Fd())) {
		file = nil
	}
	return &bar{to: file, what: what}
}

// barWidth is in letters, and barEvery is how often the line is drawn anew.
const (
	barWidth = 40
	barEvery = 100 * time.Millisecond
)

// clearLine sends a terminal to the start of its line and empties that.
const clearLine = "\r\x1b[K"

// set shows that done of total are done.
func (b *bar) set(done, total int) {
	b.lock.Lock()
	defer b.lock.Unlock()
	if b.to == nil || total <= 0 || time.Since(b.drawn) < barEvery {
		return
	}
	b.drawn = time.Now()
	full := min(max(barWidth*done/total, 0), barWidth)
	fmt.Fprintf(b.to, "%s%s %3d %% [%s%s] (%d of %d)", clearLine, b.what, 100*done/total, strings.Repeat("=", full),
		strings.Repeat(" ", barWidth-full), done, total)
}

// close takes the line away.
func (b *bar) close() {
	if b.to != nil && !b.drawn.IsZero() {
		fmt.Fprint(b.to, clearLine)
	}
}

// longWait is what is told beforehand: nobody wonders about less.
const longWait = 3 * time.Second

// The sentences that tell of a long wait: of a count, and how long it takes.
const (
	tracingForecast = "the tracing of %s photons takes about %s; --error or --photons changes that\n"
	summingForecast = "the sum of %s rays takes about %s; --step changes that\n"
)

// settled is how long work must have been under way before its speed is taken for that of the whole.
const settled = 200 * time.Millisecond

// predict returns what follows work: once, on standard error, it says in the sentence how long the whole will take
// where that is more than longWait, by the time since the first look; on a terminal it shows how far it is.
func (b *bar) predict(s streams, o common, now func() time.Time, sentence string) func(done, total int64) {
	var begun time.Time
	var before int64
	told := o.quiet
	return func(done, total int64) {
		if at := now(); before == 0 {
			begun, before = at, done
		} else if !told && at.Sub(begun) >= settled {
			whole := time.Duration(float64(at.Sub(begun)) * float64(total) / float64(done-before))
			if told = true; whole > longWait {
				fmt.Fprintf(s.Err, sentence, unit.Count(float64(total)), whole.Round(time.Second))
			}
		}
		b.set(int(done), int(total))
	}
}
