//go:build unix

package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// faultTank is a small scene, quickly computed: nothing in it is matt; what is deep has slices of many cells.
const faultTank = `title: Fault test
tank:
  length: 400 mm
  width: 200 mm
  height: 80 mm
  water: {depth: 60 mm, kind: clear, temperature: 25 C}
  walls: {front: glass, left: glass, right: glass, back: {paint: 0}}
  floor: {diffuse: 0}
rails:
  - length: 360 mm
    profile: bar-40x20
    above_water: 120 mm
    modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 180 mm, current: 350 mA}
wiring: {driver: cc-350, strings: 1, hours: 9 h, tariff: 0.28 EUR/kWh}
`

// faultReadings are readings of a light meter in it.
const faultReadings = "x_mm,y_mm,plane,lux\n100,100,floor,900\n200,100,floor,1000\n300,100,floor,900\n"

// program is a call of the program in a folder of its own. One that does not end is killed.
func program(dir string, args ...string) (*exec.Cmd, *bytes.Buffer) {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	c := exec.CommandContext(ctx, "fathomlux", args...)
	c.Cancel = func() error { cancel(); return c.Process.Kill() }
	c.Dir = dir
	var errs bytes.Buffer
	c.Stderr = &errs
	return c, &errs
}

// faultFolder is a fresh folder that holds faultTank as tank.yaml, and the same tank with another title and more current as
// other.yaml.
func faultFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	other := strings.NewReplacer("Fault test", "Another", "350 mA", "300 mA").Replace(faultTank)
	for name, text := range map[string]string{"tank.yaml": faultTank, "other.yaml": other} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// sums returns what is in a folder by name, files with a sum of their content; nothing where there is no folder.
func sums(t *testing.T, dir string) map[string][sha256.Size]byte {
	t.Helper()
	found := map[string][sha256.Size]byte{}
	entries, err := os.ReadDir(dir)
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.IsDir() {
			found[e.Name()] = [sha256.Size]byte{}
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		found[e.Name()] = sha256.Sum256(data)
	}
	return found
}

// eachWhole checks that each file of a folder is that of one of two complete runs. Temporary files do not count.
func eachWhole(t *testing.T, dir string, first, second map[string][sha256.Size]byte) {
	t.Helper()
	for name, sum := range sums(t, dir) {
		if !strings.HasPrefix(name, ".") && sum != first[name] && sum != second[name] {
			t.Errorf("%s is neither the old file nor the new one", name)
		}
	}
}

// interrupt starts a call that would run for long and sends it a signal, later and later until it was up and ended with the
// status and the last words that are wanted, or ends otherwise for good.
func interrupt(t *testing.T, c func() (*exec.Cmd, *bytes.Buffer), signal os.Signal, want int, words string) (status int, last string) {
	t.Helper()
	status = -1
	for wait := 100 * time.Millisecond; wait < time.Minute; wait *= 2 {
		c, errs := c()
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(wait)
		_ = c.Process.Signal(signal)
		err := c.Wait()
		var ended *exec.ExitError
		if errors.As(err, &ended) && ended.Sys().(syscall.WaitStatus).Signaled() {
			continue // it had not come to listen
		}
		if status, last = c.ProcessState.ExitCode(), lastLine(errs.String()); status == want && last == words {
			break
		} // else it had not come to its work
	}
	return status, last
}

// TestInterruptedCommandsEnd sends Ctrl-C to commands, in full to parts and by another signal too, in the midst of sums that would
// take hours: each ends with its status and its word, and changes no file.
func TestInterruptedCommandsEnd(t *testing.T) {
	long := []string{"--step", "1 mm", "--workers", "1", "--vary", "spacing=20mm:180mm:0.002mm"}
	for name, c := range map[string]struct {
		args   []string
		signal os.Signal
		status int
		words  string
	}{
		"report":          {append([]string{"report", "tank.yaml"}, long...), os.Interrupt, 2, "fathomlux: interrupted"},
		"report, by kill": {append([]string{"report", "tank.yaml"}, long...), syscall.SIGTERM, 2, "fathomlux: interrupted"},
		"map watch":       {[]string{"map", "tank.yaml", "--watch", "--engine", "traced", "--photons", "10000000000"}, os.Interrupt, 0, ""},
		"live":            {[]string{"live", "tank.yaml"}, os.Interrupt, 0, "open this address in a browser on this machine; Ctrl-C ends it"},
		"arrange, before the first": {[]string{"arrange", "tank.yaml", "--step", "1 mm", "--vary", "height=100mm:250mm:1mm"}, os.Interrupt, 2,
			"fathomlux: interrupted"},
		"propose, before the first": {[]string{"propose", "wish.yaml"}, os.Interrupt, 2, "fathomlux: interrupted"},
		"part of a sweep":           {append([]string{"sweep", "tank.yaml", "--share", "2/16"}, long...), os.Interrupt, 2, "fathomlux: interrupted"},
		"part of a map": {[]string{"map", "tank.yaml", "--engine", "traced", "--photons", "10000000000", "--share", "2/2"}, os.Interrupt, 2,
			"fathomlux: interrupted"},
		"sweep, before the first": {append([]string{"sweep", "tank.yaml"}, long...), os.Interrupt, 2, "fathomlux: interrupted"},
	} {
		if longtest.Pick(name == "report, by kill" || name == "part of a map", false) {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := faultFolder(t)
			out := filepath.Join(dir, "out", "tank")
			if err := os.MkdirAll(out, 0o777); err != nil {
				t.Fatal(err)
			}
			for file, text := range map[string]string{filepath.Join(out, "floor.png"): "old",
				filepath.Join(dir, "wish.yaml"): faultTank + "goal: {plane: floor, illuminance: 500 lx}\n"} {
				if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			old := sums(t, out)
			status, last := interrupt(t, func() (*exec.Cmd, *bytes.Buffer) { return program(dir, c.args...) }, c.signal, c.status, c.words)
			if status != c.status || last != c.words {
				t.Errorf("status %d and %q", status, last)
			}
			eachWhole(t, out, old, nil)
			if got := sums(t, out); len(got) != 1 {
				t.Errorf("the folder holds %d files", len(got))
			}
		})
	}
}

// TestInterruptedArrangeKeepsTheBestPlaces sends Ctrl-C to arrange, later and later until it has begun to search: it writes the
// scene with the best places so far, which can be read, and nothing else.
func TestInterruptedArrangeKeepsTheBestPlaces(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	dir := faultFolder(t)
	out := filepath.Join(dir, "out", "tank")
	words := "fathomlux: interrupted; the best places that were found until then are kept, without a picture"
	call := func() (*exec.Cmd, *bytes.Buffer) {
		if err := os.RemoveAll(out); err != nil {
			t.Fatal(err)
		}
		return program(dir, "arrange", "tank.yaml", "--step", "20mm", "--workers", "1")
	}
	if status, last := interrupt(t, call, os.Interrupt, statusWrong, words); status != statusWrong || last != words {
		t.Fatalf("status %d and %q", status, last)
	}
	if sc, err := scene.Read(filepath.Join(out, "tank-arranged.yaml")); err != nil || len(sc.Rails[0].Modules) != 2 {
		t.Error(err)
	}
	if got := sums(t, out); len(got) != 1 {
		t.Errorf("the folder holds %d files", len(got))
	}
}

// TestInterruptedMapKeepsWhatIsTraced sends Ctrl-C to maps whose tracing would take hours, later and later until one has
// begun to trace: it writes the whole map of the photons it had. One that had none changes no file.
func TestInterruptedMapKeepsWhatIsTraced(t *testing.T) {
	type interruption struct {
		args   []string
		signal os.Signal
	}
	sample := map[string]interruption{"traced": {nil, os.Interrupt}}
	for name, c := range longtest.Pick(sample, map[string]interruption{
		"traced":          {nil, os.Interrupt},
		"traced, by kill": {nil, syscall.SIGTERM},
		"traced and fine": {[]string{"--step", "2 mm"}, os.Interrupt},
	}) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := faultFolder(t)
			args := append([]string{"map", "tank.yaml", "--engine", "traced", "--photons", "10000000000", "--scale", "0.5", "--workers", "1"}, c.args...)
			for wait := 100 * time.Millisecond; wait < time.Minute; wait *= 2 {
				call, errs := program(dir, args...)
				var out bytes.Buffer
				call.Stdout = &out
				if err := call.Start(); err != nil {
					t.Fatal(err)
				}
				time.Sleep(wait)
				_ = call.Process.Signal(c.signal)
				_ = call.Wait()
				files := sums(t, filepath.Join(dir, "out", "tank"))
				// tracing may have begun and not ended its first batch
				said := ""
				for line := range strings.Lines(errs.String()) {
					if strings.HasPrefix(line, "fathomlux: ") { // others are forecasts, which come when a machine is slow
						said += line
					}
				}
				none := strings.TrimPrefix(said, stopping+"\n") == "fathomlux: interrupted\n"
				if call.ProcessState.Sys().(syscall.WaitStatus).Signaled() || none {
					if len(files) != 0 {
						t.Fatalf("nothing was traced, and %d files are there", len(files))
					}
					continue // it had not come to its photons
				}
				wholeTracedMap(t, call.ProcessState.ExitCode(), out.String(), said, files)
				return
			}
			t.Fatal("it never comes to its photons")
		})
	}
}

// wholeTracedMap checks what an interrupted map tells and writes.
func wholeTracedMap(t *testing.T, status int, out, errs string, files map[string][sha256.Size]byte) {
	t.Helper()
	if status != statusWrong || !strings.HasPrefix(errs, stopping+"\n") || !strings.HasSuffix(errs, " photons; what was traced is kept\n") {
		t.Errorf("status %d and %q", status, errs)
	}
	if !strings.Contains(out, "tracing was interrupted at ") {
		t.Errorf("no word of it in %s", out)
	}
	for _, name := range []string{"surface.png", "mid.csv", "floor.png", "floor.csv", "section-along.png", "section-across.png"} {
		if _, ok := files[name]; !ok {
			t.Errorf("there is no %s", name)
		}
	}
}

func lastLine(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return lines[len(lines)-1]
}

// TestInterruptedSweepKeepsWhatIsDone interrupts a sweep of many heights, later and later until candidates are done: the table
// of those is kept, and no other is.
func TestInterruptedSweepKeepsWhatIsDone(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	for wait := 100 * time.Millisecond; wait < time.Minute; wait *= 2 {
		if sweepKeeps(t, wait) {
			return
		}
	}
	t.Error("nothing is ever kept")
}

// sweepKeeps interrupts a sweep after some time and tells whether it says that it has kept what was done. What it says and the
// table must agree, whichever it is.
func sweepKeeps(t *testing.T, wait time.Duration) bool {
	t.Helper()
	dir := faultFolder(t)
	c, errs := program(dir, "sweep", "tank.yaml", "--vary", "height=100mm:250mm:0.002mm", "--scale", "0.5", "--workers", "1")
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(wait)
	_ = c.Process.Signal(os.Interrupt)
	_ = c.Wait()
	table, err := os.ReadFile(filepath.Join(dir, "out", "tank", "sweep.csv"))
	if status := c.ProcessState.Sys().(syscall.WaitStatus); status.Signaled() {
		if err == nil {
			t.Fatal("a table, though it had not come to listen")
		}
		return false
	}
	if status := c.ProcessState.ExitCode(); status != statusWrong || !strings.Contains(lastLine(errs.String()), "interrupted") {
		t.Fatalf("status %d and %q", status, errs)
	}
	var done, all int
	_, message, kept := strings.Cut(errs.String(), "interrupted after ")
	if kept != (err == nil) {
		t.Fatalf("told %q, and the table: %v", errs, err)
	}
	if !kept {
		return false
	}
	if _, err := fmt.Sscanf(message, "%d of %d candidates; what was done is kept", &done, &all); err != nil {
		t.Fatalf("told %q: %v", errs, err)
	}
	if rows := bytes.Count(table, []byte("\n")) - 1; done < 1 || rows != done || done >= all {
		t.Errorf("%d of %d are done, and the table has %d", done, all, rows)
	}
	return true
}
