//go:build release

package main

import (
	"debug/buildinfo"
	"os"
	"runtime/debug"
)

// A build with the tag release serves .ci/release alone: its version command tells of the program that
// FATHOMLUX_PROGRAM names, which may be one for another system.
func init() {
	if path := os.Getenv("FATHOMLUX_PROGRAM"); path != "" {
		readBuildInfo = func() (*debug.BuildInfo, bool) {
			info, err := buildinfo.ReadFile(path)
			return info, err == nil
		}
	}
}
