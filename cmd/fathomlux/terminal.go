package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/term"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/preview"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// textWriter passes text on in which nothing commands a terminal: whatever titles, file names and foreign files hold,
// characters that a terminal would obey are shown as escapes. All that a command prints goes through it, no character
// in two pieces; a JSON text says the same with its escapes. What draws on a terminal asks terminalOf for the file
// below.
type textWriter struct {
	to   io.Writer
	lock sync.Mutex
	lost error // why a text did not arrive, which not every caller asks
}

func (w *textWriter) Write(p []byte) (int, error) {
	w.lock.Lock()
	defer w.lock.Unlock()
	if _, err := io.WriteString(w.to, document.Visible(string(p), '\n', '\t')); err != nil {
		w.lost = err
		return 0, err
	}
	return len(p), nil
}

// terminalOf returns the file that a stream ends in, past pending text and a textWriter; ok is false where it is none.
func terminalOf(w io.Writer) (file *os.File, ok bool) {
	if text, is := w.(*pending); is {
		w = text.to
	}
	if text, is := w.(*textWriter); is {
		w = text.to
	}
	file, ok = w.(*os.File)
	return file, ok
}

// bar shows how far a long computation is, in one line of a terminal.
type bar struct {
	to    *os.File // nil where nothing is shown
	what  string
	lock  sync.Mutex
	drawn time.Time
	shown int // letters that stand in the line
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

// clear sends a terminal to the start of its line and empties that, without a command that older ones of Windows print.
func (b *bar) clear() string {
	blanks := strings.Repeat(" ", b.shown)
	b.shown = 0
	return "\r" + blanks + "\r"
}

func (b *bar) set(done, total int) {
	b.lock.Lock()
	defer b.lock.Unlock()
	if b.to == nil || total <= 0 || time.Since(b.drawn) < barEvery {
		return
	}
	b.drawn = time.Now()
	full := min(max(barWidth*done/total, 0), barWidth)
	line := fmt.Sprintf("%s %3d %% [%s%s] (%d of %d)", b.what, 100*done/total, strings.Repeat("=", full),
		strings.Repeat(" ", barWidth-full), done, total)
	fmt.Fprint(b.to, b.clear(), line)
	b.shown = utf8.RuneCountInString(line)
}

// say prints a line above the bar, on a terminal.
func (b *bar) say(text string) {
	b.lock.Lock()
	defer b.lock.Unlock()
	if b.to != nil {
		fmt.Fprint(b.to, b.clear()+document.Visible(text)+"\n")
		b.drawn = time.Time{}
	}
}

// close takes the line away.
func (b *bar) close() {
	if b.to != nil && !b.drawn.IsZero() {
		fmt.Fprint(b.to, b.clear())
	}
}

// longWait is what is told beforehand: nobody wonders about less.
const longWait = 3 * time.Second

// The sentences that tell of a long wait: of a count, and how long it takes.
const (
	tracingForecast = "tracing %s photons takes about %s; a larger --error or fewer --photons shortens it\n"
	summingForecast = "summing %s rays takes about %s; a larger --step shortens it\n"
	momentForecast  = "following %s moments takes about %s; --still shows one alone\n"
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

// screen is what a preview is drawn on.
type screen struct {
	out            io.Writer
	columns, lines int
	depth          preview.Depth
}

// screenOf looks at what a stream ends in. Colours need a terminal that has them, and no NO_COLOR.
func screenOf(out io.Writer) screen {
	at := screen{out: out, columns: 80, lines: 24} // where a terminal does not tell its own size
	file, ok := terminalOf(out)
	if !ok {
		return at
	}
	if columns, lines, err := term.GetSize(int(file.Fd())); err == nil && columns > 0 && lines > 0 {
		at.columns, at.lines = columns, lines
	}
	if term.IsTerminal(int(file.Fd())) {
		at.depth = depthOf(os.Getenv)
	}
	if at.depth != preview.Plain {
		at.out = file // colours are commands to the terminal, which text may not give
	}
	return at
}

// depthOf tells how many colours a terminal has by what its environment says of it.
func depthOf(env func(string) string) preview.Depth {
	switch colours := env("COLORTERM"); {
	case env("NO_COLOR") != "" || env("TERM") == "dumb":
		return preview.Plain
	case colours == "truecolor" || colours == "24bit" || env("WT_SESSION") != "": // the latter on Windows
		return preview.TrueColour
	case strings.Contains(env("TERM"), "256color"):
		return preview.Colours256
	}
	return preview.Plain
}

// printPreview draws the goal's plane, or the lowest one where there is no goal, on the terminal, in the quantity that
// the goal counts.
func printPreview(at screen, m *result.Map, sc *scene.Scene, units style.Units) error {
	p, q := optics.GoalPlane(sc, m.Planes), m.Goal.Shown
	plan := preview.Plan{Heading: q.Name() + ", " + render.PlaneWords(p, units) + ", seen from above", Unit: q.Unit(),
		LengthM: sc.Tank.LengthM, WidthM: sc.Tank.WidthM, NX: p.Field.Grid.NX, NY: p.Field.Grid.NY,
		Values: result.Of(q, p.Field.Illuminance, p.Field.PPFD), Columns: at.columns, Lines: max(6, at.lines-6),
		Depth: at.depth, Units: units}
	if !sc.Tank.Outline.Empty() {
		plan.Values = q.Drawn(p.Field)
	}
	for _, r := range sc.Rails {
		for _, module := range r.Modules {
			x, y := r.At(module.XM)
			plan.Modules = append(plan.Modules, preview.Mark{XM: x, YM: y, Dead: module.Dead})
		}
	}
	_, err := io.WriteString(at.out, preview.Draw(plan))
	return err
}
