//go:build unix

package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"fathomlux/render/live"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// By hand, 100 of each command: go test ./cmd/fathomlux -run 'TestKilled|TestInterruptedAt' -kills 100 -timeout 0 -v
var killsOfEach = flag.Int("kills", 0, "how often tests kill and interrupt each command, 0 for the usual number")

// faultCall is a call of faultCalls with a scene and a folder to write to.
func faultCall(name, scene, out string) []string {
	words := strings.Fields(faultCalls[name])
	if !strings.Contains(faultCalls[name], "OUT") {
		return append(words, scene, "--out", out)
	}
	for i, word := range words {
		words[i] = strings.NewReplacer("SCENE", scene, "FOLDER", filepath.Dir(scene), "OUT", out).Replace(word)
	}
	return words
}

// killFolder holds two tanks of one name in the folders one and two, each with a goal, a day, readings of a light meter, the
// same tank as wavy.yaml with ripples, and where asked for the parts of a map.
func killFolder(t *testing.T, parts bool) (dir string) {
	t.Helper()
	dir = t.TempDir()
	other := strings.NewReplacer("Fault test", "Another", "above_water: 120 mm", "above_water: 130 mm").Replace(faultTank)
	for name, text := range map[string]string{"one": other, "two": faultTank} {
		if err := os.Mkdir(filepath.Join(dir, name), 0o777); err != nil {
			t.Fatal(err)
		}
		text += "goal: {plane: floor, illuminance: 500 lx}\nday: [{on: \"9:00\", off: \"19:00\", ramp: 1 h}]\n"
		write(t, filepath.Join(dir, name), "tank.yaml", text)
		write(t, filepath.Join(dir, name), "wavy.yaml", strings.Replace(text, "kind: clear", "kind: clear, ripple: gentle", 1))
		write(t, filepath.Join(dir, name), "readings.csv", faultReadings)
		for i := 1; i <= 2 && parts; i++ {
			c, errs := program(filepath.Join(dir, name), "map", "tank.yaml", "--engine", "traced", "--photons", "100000", "--step", "20mm",
				"--plane", "floor", "--share", fmt.Sprint(i, "/2"), "--out", "out")
			if err := c.Run(); err != nil {
				t.Fatalf("%v: %s", err, errs)
			}
		}
	}
	return dir
}

// allOpen checks that each file of a folder can be read as what its name says, and returns their sums.
func allOpen(t *testing.T, dir string) map[string][32]byte {
	t.Helper()
	found := sums(t, dir)
	for name := range found {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err == nil {
			err = opens(name, data)
		}
		if err != nil || len(data) == 0 {
			t.Errorf("%s of %d bytes: %v", name, len(data), err)
		}
	}
	return found
}

// TestKilledAtAnyMoment kills commands, in full all that write: at random moments of their run, and as soon as a temporary
// file is seen. Whatever one was doing, each file is whole, and the next run that is left alone leaves no temporary file.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := cmp.Or(*killsOfEach, longtest.Pick(2, 3))
	for _, name := range faultNames(longtest.Pick(1, len(faultCalls)), "map") {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			killOften(t, name, kills)
		})
	}
}

// faultNames are the names of so many faultCalls, first the usual ones, then others evenly from the list; of all where a flag
// asks for it.
func faultNames(n int, usual ...string) (some []string) {
	all := slices.Sorted(maps.Keys(faultCalls))
	if *killsOfEach > 0 || n >= len(all) {
		return all
	}
	some = usual
	others := slices.DeleteFunc(all, func(name string) bool { return slices.Contains(usual, name) })
	for more, i := n-len(usual), 0; i < more; i++ {
		some = append(some, others[(2*i+1)*len(others)/(2*more)])
	}
	return some
}

// TestFaultNames: none is there twice, the usual ones are always there, and in full all are.
func TestFaultNames(t *testing.T) {
	for n := 2; n <= len(faultCalls); n++ {
		got := faultNames(n, "map", "sweep")
		if slices.Sort(got); len(slices.Compact(slices.Clone(got))) != n || !slices.Contains(got, "map") || !slices.Contains(got, "sweep") {
			t.Errorf("%d names: %q", n, got)
		}
	}
}

// TestInterruptedAtAnyMoment sends Ctrl-C, and the signal of a service manager, to commands at random moments, in full to all
// that write: each ends with the status of an interruption, or as if there had been none, each file can be read as what its
// name says, and none is temporary.
func TestInterruptedAtAnyMoment(t *testing.T) {
	moments := cmp.Or(*killsOfEach, longtest.Pick(2, 3))
	for _, name := range faultNames(longtest.Pick(1, len(faultCalls)), "sweep") {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			interruptOften(t, name, moments)
		})
	}
}

// interruptOften interrupts one command of faultCalls.
func interruptOften(t *testing.T, name string, moments int) {
	dir := killFolder(t, name == "join")
	out := filepath.Join(dir, "out")
	args := faultCall(name, filepath.Join("two", "tank.yaml"), "out")
	random := rand.New(rand.NewPCG(3, uint64(len(name))))
	var usual, longest, work time.Duration
	ended, files := 0, 0
	for k := -1; k < moments; k++ { // first without an interruption
		if err := errors.Join(os.RemoveAll(out), os.Mkdir(out, 0o777)); err != nil {
			t.Fatal(err)
		}
		c, errs := program(dir, args...)
		start := time.Now()
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		signal := []os.Signal{os.Interrupt, syscall.SIGTERM}[(k+2)%2]
		before := time.Duration(0)
		if k >= 0 {
			time.Sleep(time.Duration(random.Float64() * float64(usual)))
			before, start = workOf(c.Process.Pid), time.Now()
			_ = c.Process.Signal(signal)
		}
		_ = c.Wait()
		took := time.Since(start)
		state := c.ProcessState.Sys().(syscall.WaitStatus)
		switch status := c.ProcessState.ExitCode(); {
		case k < 0 && status == statusDone:
			usual = took
		case k >= 0 && status == statusWrong && strings.Contains(lastLine(errs.String()), "interrupted"):
			ended++
			longest, work = max(longest, took), max(work, c.ProcessState.UserTime()+c.ProcessState.SystemTime()-before)
		case k >= 0 && (status == statusDone || state.Signaled() && state.Signal() == signal): // it came too late, or too early
		default:
			t.Errorf("moment %d: %v, %s", k, c.ProcessState, errs)
		}
		files += len(allOpen(t, out))
		if _, drafts := filesAndDrafts(t, out); drafts > 0 {
			t.Errorf("moment %d: %d temporary files are left", k, drafts)
		}
	}
	t.Logf("%d of %d interrupted in runs of %v; longest end %v, longest work %v; %d files read", ended, moments, usual, longest, work, files)
}

// workOf is the processor time that a process has taken, in steps of 10 ms, 0 where the system does not tell.
func workOf(pid int) time.Duration {
	text, _ := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	_, after, _ := strings.Cut(string(text), ") ")
	words := strings.Fields(after)
	if len(words) < 13 {
		return 0
	}
	user, _ := strconv.Atoi(words[11])
	system, _ := strconv.Atoi(words[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}

// killOften kills one command of faultCalls.
func killOften(t *testing.T, name string, kills int) {
	dir := killFolder(t, name == "join")
	out := filepath.Join(dir, "out")
	if err := os.Mkdir(out, 0o777); err != nil {
		t.Fatal(err)
	}
	call := func(k int) []string {
		return faultCall(name, filepath.Join([]string{"one", "two"}[k%2], "tank.yaml"), "out")
	}
	var complete [2]map[string][32]byte
	var usual time.Duration
	for i := range complete {
		start := time.Now()
		c, errs := program(dir, call(i)...)
		if err := c.Run(); err != nil {
			t.Fatalf("%v: %s", err, errs)
		}
		usual = time.Since(start)
		complete[i] = allOpen(t, out)
	}
	random := rand.New(rand.NewPCG(1, uint64(len(name))))
	killed, seen, left := 0, 0, 0
	for k := 0; k < kills || killed < kills && k < 10*kills; k++ { // a loaded machine may be late
		c, _ := program(dir, call(k)...)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		if k%2 == 0 {
			time.Sleep(time.Duration(random.Float64() * float64(usual)))
		} else {
			untilDraft(out, 2*usual)
		}
		_ = c.Process.Kill()
		if err := c.Wait(); err != nil {
			killed++
		}
		eachWhole(t, out, complete[0], complete[1])
		whole, drafts := filesAndDrafts(t, out)
		seen, left = seen+whole, left+drafts
	}
	if killed < (kills+3)/4 {
		t.Errorf("only %d of %d runs were killed before their end", killed, kills)
	}
	c, errs := program(dir, call(1)...)
	if err := c.Run(); err != nil {
		t.Fatalf("%v: %s", err, errs)
	}
	if last := sums(t, out); !maps.Equal(last, complete[1]) {
		t.Errorf("there are %d files, not %d, after the next run, or others", len(last), len(complete[1]))
	}
	t.Logf("%d kills in runs of %v; %d whole files seen, %d temporary ones, which the next run removed", killed, usual, seen, left)
}

// filesAndDrafts counts the files of a folder, and the temporary ones.
func filesAndDrafts(t *testing.T, dir string) (whole, drafts int) {
	t.Helper()
	for name := range sums(t, dir) {
		if strings.HasPrefix(name, ".fathomlux-") {
			drafts++
		} else {
			whole++
		}
	}
	return whole, drafts
}

// untilDraft waits until there is a temporary file in a folder that was not there, or for at most so long.
func untilDraft(dir string, atMost time.Duration) {
	old, _ := os.ReadDir(dir)
	for end := time.Now().Add(atMost); time.Now().Before(end); time.Sleep(time.Millisecond / 4) {
		entries, _ := os.ReadDir(dir)
		for _, e := range entries {
			same := func(o os.DirEntry) bool { return o.Name() == e.Name() }
			if strings.HasPrefix(e.Name(), ".fathomlux-") && !slices.ContainsFunc(old, same) {
				return
			}
		}
	}
}

// TestKilledWhileThePageSaves kills the program that serves the page while it saves one scene over and over: the file is one
// of those that were saved, whole, and the next save leaves no temporary file.
func TestKilledWhileThePageSaves(t *testing.T) {
	t.Parallel()
	kills := cmp.Or(*killsOfEach, longtest.Pick(1, 5))
	dir := faultFolder(t)
	file := filepath.Join(dir, "saved.yaml")
	random := rand.New(rand.NewPCG(2, 2))
	saves, left := 0, 0
	for range kills {
		done, state := saveUntilKilled(t, dir, time.Duration(random.IntN(50_000))*time.Microsecond)
		saves += done
		_, drafts := filesAndDrafts(t, dir)
		left += drafts
		sc, err := scene.Read(file)
		if err != nil {
			t.Fatal(err)
		}
		if h := sc.Rails[0].AboveWaterM; h < state.Rails[0].AboveWaterM-1e-9 || h > 0.2 {
			t.Errorf("the rail hangs at %g m, which nobody saved", h)
		}
	}
	saveUntilKilled(t, dir, 0)
	if _, drafts := filesAndDrafts(t, dir); drafts > 1 { // that of the last kill
		t.Errorf("%d temporary files are left", drafts)
	}
	t.Logf("%d kills, %d saves, %d temporary files", kills, saves, left)
}

// saveUntilKilled serves the page, saves it as saved.yaml, the rail a little higher each time, and kills the program so long
// after the first save.
func saveUntilKilled(t *testing.T, dir string, after time.Duration) (saves int, state live.State) {
	t.Helper()
	c, errs := program(dir, "live", "tank.yaml")
	said, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = c.Wait() }()
	var address string
	if _, err := fmt.Fscanln(said, &address); err != nil {
		t.Fatalf("%v: %s", err, errs)
	}
	var outline struct{ State live.State }
	answer, err := http.Get(address + "scene")
	if err == nil {
		err = json.NewDecoder(answer.Body).Decode(&outline)
		answer.Body.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	state = outline.State
	higher := state
	higher.Rails = slices.Clone(state.Rails)
	for {
		body, _ := json.Marshal(map[string]any{"state": higher, "name": "saved", "overwrite": true})
		answer, err := http.Post(address+"save", "application/json", bytes.NewReader(body))
		if err != nil {
			return saves, state
		}
		text, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		if err == nil && (answer.StatusCode != 200 || bytes.Contains(text, []byte(`"refused"`))) {
			t.Fatalf("%s: %s", answer.Status, text)
		}
		if saves++; saves == 1 {
			time.AfterFunc(after, func() { _ = c.Process.Kill() })
		}
		higher.Rails[0].AboveWaterM = min(0.2, higher.Rails[0].AboveWaterM+0.0001)
	}
}
