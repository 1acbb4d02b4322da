package scene

import (
	"fmt"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// Plane returns the plane that text names: "surface" (just under the water surface), "mid" (half the depth), "floor",
// or a depth below the surface such as "200 mm", from 0 to the water's depth.
func (t Tank) Plane(text string) (PlaneRef, error) {
	text = strings.TrimSpace(text)
	switch text {
	case "surface":
		return PlaneRef{Name: text}, nil
	case "mid":
		return PlaneRef{Name: text, DepthM: t.Water.DepthM / 2}, nil
	case "floor":
		return PlaneRef{Name: text, DepthM: t.Water.DepthM}, nil
	}
	if near := document.Suggest(text, []string{"surface", "mid", "floor"}); near != "" {
		return PlaneRef{}, fmt.Errorf("%q is no plane; did you mean %q?", text, near)
	}
	if text == "" || !strings.ContainsAny(text[:1], "+-.0123456789") {
		return PlaneRef{}, fmt.Errorf("%.60q is no plane; use surface, mid, floor or a depth such as 200 mm", text)
	}
	depthM, err := unit.Length.Parse(text)
	if err != nil {
		return PlaneRef{}, err
	}
	if depthM < 0 || depthM > t.Water.DepthM {
		return PlaneRef{}, fmt.Errorf("%s is out of range; a plane lies from 0 mm to %s below the surface", text,
			say(t.Water.DepthM))
	}
	return PlaneRef{Name: text, DepthM: depthM}, nil
}
