package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"slices"
	"time"

	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// watchEvery is how often files are looked at: they count as saved once two looks show the same. Looking works on
// network disks too, which report no changes.
const watchEvery = 200 * time.Millisecond

// watchScene calls redo at once and again after each change of the scene's file or of a file that it names, until ctx
// is done, which is no fault. Faults of redo are printed and the watch goes on; a scene file that is not there at first
// ends it.
func watchScene(ctx context.Context, s streams, file string, redo func(context.Context) error) error {
	if _, err := os.Stat(file); err != nil {
		_, err = scene.Read(file)
		return err
	}
	onInterrupt(ctx).usual.Store(true)
	for {
		seen := lookAt(file)
		err := redo(ctx)
		if ctx.Err() != nil {
			return nil
		}
		printError(s.Err, err)
		others := ""
		if n := len(seen.files) - 1; n > 0 {
			others = " and " + unit.Several(n, "file") + " that it names"
		}
		fmt.Fprintf(s.Err, "watching %s%s; Ctrl-C ends\n", file, others)
		if !seen.change(ctx) {
			return nil
		}
	}
}

// sight is a scene's file and those that it names, as far as it can be read, each once, and a sum of what they hold.
type sight struct {
	files []string
	sum   [sha256.Size]byte
}

func lookAt(path string) (s sight) {
	_, _ = scene.ReadNoting(path, func(file string) { // its faults are told by the command itself
		if !slices.Contains(s.files, file) {
			s.files = append(s.files, file)
		}
	})
	s.sum = sumOf(s.files)
	return s
}

// change waits until the files differ from what was seen and have come to rest; it returns false once ctx is done.
func (s sight) change(ctx context.Context) bool {
	for last := s.sum; ; {
		select {
		case <-ctx.Done():
			return false
		case <-time.After(watchEvery):
		}
		now := sumOf(s.files)
		if now == last && now != s.sum {
			return true
		}
		last = now
	}
}

// sumOf is a sum of what stands in files; one that cannot be read counts as not there.
func sumOf(files []string) [sha256.Size]byte {
	sum := sha256.New()
	for _, file := range files {
		data, err := scene.ReadFile(file)
		fmt.Fprintln(sum, err == nil, sha256.Sum256(data))
	}
	return [sha256.Size]byte(sum.Sum(nil))
}
