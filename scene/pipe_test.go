//go:build unix

package scene_test

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/scenetest"
)

// A named pipe without a writer would make a careless reader wait for ever.
func TestReadDoesNotWaitAtAPipe(t *testing.T) {
	in := folder(t, map[string]string{"foyer.yaml": scenetest.Sound + "parts: pipe\n"})
	if err := syscall.Mkfifo(filepath.Join(in, "pipe"), 0o644); err != nil {
		t.Skip("no named pipes here")
	}
	const want = "this is a device, a pipe or a socket; give a regular file"
	if _, err := scene.Read(filepath.Join(in, "pipe")); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("a pipe as a scene: %v", err)
	}
	if _, err := scene.Read(filepath.Join(in, "foyer.yaml")); err == nil || !strings.Contains(err.Error(), "parts: pipe: "+want) {
		t.Errorf("a pipe as parts: %v", err)
	}
}
