package main

import (
	"fmt"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"fathomlux/scene/unit"
)

// meter shows how far a long sum is, on a terminal only.
type meter struct{ bar *progressbar.ProgressBar }

// progress returns a meter on standard error, hidden where that is no terminal or where the caller wants quiet.
func progress(s streams, o common, what string) *meter {
	file, ok := terminalOf(s.Err)
	if !ok || o.quiet || !term.IsTerminal(int(file.Fd())) {
		return &meter{}
	}
	return &meter{bar: progressbar.NewOptions(1, progressbar.OptionSetWriter(file), progressbar.OptionSetDescription(what),
		progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(), progressbar.OptionShowCount(),
		progressbar.OptionEnableColorCodes(os.Getenv("NO_COLOR") == ""))}
}

// set shows that done of total are done.
func (m *meter) set(done, total int) {
	if m.bar == nil {
		return
	}
	m.bar.ChangeMax(total)
	_ = m.bar.Set(done) // a meter that cannot be drawn is no fault
}

// longWait is what is told beforehand: nobody wonders about less.
const longWait = 3 * time.Second

// forecast is how the line begins that tells of a long wait.
const forecast = "the tracing "

// predict returns what follows a tracing: once, on standard error, it says how long the whole will take where that is more than
// longWait, by the time between the first two looks; on a terminal it shows how far it is.
func (m *meter) predict(s streams, o common, now func() time.Time) func(done, total int64) {
	var begun time.Time
	var before int64
	told := o.quiet
	return func(done, total int64) {
		switch {
		case before == 0:
			begun, before = now(), done
		case !told:
			whole := time.Duration(float64(now().Sub(begun)) * float64(total) / float64(done-before))
			if told = true; whole > longWait {
				fmt.Fprintf(s.Err, "%sof %s photons takes about %s; --error or --photons changes that\n", forecast, unit.Count(float64(total)), whole.Round(time.Second))
			}
		}
		m.set(int(done), int(total))
	}
}

func (m *meter) close() {
	if m.bar != nil {
		_ = m.bar.Finish()
	}
}
