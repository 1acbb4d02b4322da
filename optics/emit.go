package optics

import (
	"io"

	"fathomlux/optics/emit"
	"fathomlux/optics/result"
	"fathomlux/scene"
)

// Emit writes the light and the tank of a scene as plain text for other tracers (package emit), as Map sees them with
// the same cold, with the planes of a map. Errors: those of w and of the scene's files.
func Emit(w io.Writer, sc *scene.Scene, cold bool, planes []result.Plane) error {
	sc, _ = Warmed(sc, cold)
	m, err := newModel(sc)
	if err != nil {
		return err
	}
	var list []emit.Plane
	for _, p := range planes {
		list = append(list, emit.Plane{Name: p.Name, DepthM: p.DepthM})
	}
	return emit.Write(w, sc.Title, m, list)
}
