package scene_test

import (
	"errors"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/scenetest"
)

// TestUnreadPartsFileIsOneFault: of a parts file that is missing, torn or no table one fault is told, at the place that names it; what
// stands in it is not called unknown where rails and wiring name it.
func TestUnreadPartsFileIsOneFault(t *testing.T) {
	t.Parallel()
	text := strings.NewReplacer("round-40", "lens", "quad-neutral", "board", "cc-700", "supply").Replace(scenetest.Sound) + "parts: own.yaml\n"
	for content, want := range map[string]string{"": "parts: own.yaml: not there", "modules: {board: [\n": "own.yaml:", "secret: 1\n": "not a table of parts"} {
		_, err := scene.Parse("foyer.yaml", []byte(text), func(string) ([]byte, error) {
			if content == "" {
				return nil, errors.New("not there")
			}
			return []byte(content), nil
		})
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "there is no ") || strings.Count(err.Error(), "\n") > 0 {
			t.Errorf("%q: %v", content, err)
		}
	}
}

// TestUnusedOpticWithoutItsFile: an optic that no rail uses is warned of where its distribution is missing or malformed, and the scene is
// sound; one that a rail uses is a fault.
func TestUnusedOpticWithoutItsFile(t *testing.T) {
	t.Parallel()
	const own = "parts: {optics: {spare: {file: spare.ies, efficiency: 0.9}}}\n"
	for content, want := range map[string]string{"": "not there", "IESNA:LM-63-2002\nTILT=NONE\n1 x\n": "spare.ies:"} {
		open := func(string) ([]byte, error) {
			if content == "" {
				return nil, errors.New("not there")
			}
			return []byte(content), nil
		}
		sc, err := scene.Parse("foyer.yaml", []byte(scenetest.Sound+own), open)
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, w := range sc.Warnings {
			said += w.String() + "\n"
		}
		if !strings.Contains(said, "the distribution of spare, which no rail uses: ") || !strings.Contains(said, want) {
			t.Errorf("%q: %q", content, said)
		}
		if _, err := scene.Parse("foyer.yaml", []byte(strings.Replace(scenetest.Sound, "round-40", "spare", 1)+own), open); err == nil {
			t.Errorf("%q: a rail with this optic is scenetest.Sound", content)
		}
	}
}
