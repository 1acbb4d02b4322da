package main

import (
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
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

func (m *meter) close() {
	if m.bar != nil {
		_ = m.bar.Finish()
	}
}
