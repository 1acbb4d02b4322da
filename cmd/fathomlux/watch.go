package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"slices"
	"time"

	"fathomlux/scene"
	"fathomlux/scene/document"
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
		files := namedFiles(file)
		seen := stateOf(files)
		err := redo(ctx)
		if ctx.Err() != nil {
			return nil
		}
		printError(s.Err, err)
		others := ""
		if n := len(files) - 1; n > 0 {
			others = " and " + several(n, "file") + " that it names"
		}
		fmt.Fprintf(s.Err, "watching %s%s; Ctrl-C ends\n", file, others)
		if !changed(ctx, files, seen) {
			return nil
		}
	}
}

// changed waits until files differ from what was seen of them and have come to rest; it returns false once ctx is done.
func changed(ctx context.Context, files []string, seen [sha256.Size]byte) bool {
	for last := seen; pause(ctx, watchEvery); {
		now := stateOf(files)
		if now == last && now != seen {
			return true
		}
		last = now
	}
	return false
}

// namedFiles returns the scene's file and those that it names, as far as it can be read, each once.
func namedFiles(path string) []string {
	var files []string
	_, _ = scene.ReadNoting(path, func(file string) { // its faults are told by the command itself
		if !slices.Contains(files, file) {
			files = append(files, file)
		}
	})
	return files
}

// stateOf returns a sum of what stands in the files; one that is no regular file or too large counts as not there.
func stateOf(files []string) [sha256.Size]byte {
	sum := sha256.New()
	for _, file := range files {
		info, err := os.Stat(file)
		if err != nil || !info.Mode().IsRegular() || info.Size() > document.MaxBytes {
			sum.Write([]byte{0})
			continue
		}
		data, _ := os.ReadFile(file) // what cannot be read counts as empty
		one := sha256.Sum256(data)
		sum.Write(append([]byte{1}, one[:]...))
	}
	return [sha256.Size]byte(sum.Sum(nil))
}

// pause waits; it returns false once ctx is done.
func pause(ctx context.Context, d time.Duration) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(d):
		return true
	}
}
