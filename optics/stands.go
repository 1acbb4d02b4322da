package optics

import (
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

// standHeights are where the light on a stand of leaves is told, in parts of its height.
var standHeights = []struct {
	where string
	share float64
}{{"top", 1}, {"middle", 0.5}, {"under", 0}}

// standRequests adds the planes on, in and under the stands of leaves to those of a map that tells of all there is; they
// have no name.
func standRequests(sc *scene.Scene, o Options, requests []planeRequest, grid result.Grid) []planeRequest {
	for _, p := range sc.Tank.Plants {
		for _, h := range standHeights {
			d := standDepthM(sc, p, h.share)
			if same := func(r planeRequest) bool { return sameM(r.ref.DepthM, d) }; o.Sections &&
				!slices.ContainsFunc(requests, same) {
				requests = append(requests, planeRequest{ref: scene.PlaneRef{DepthM: d}, grid: grid})
			}
		}
	}
	return requests
}

// standDepthM is the depth of a plane through a stand of leaves.
func standDepthM(sc *scene.Scene, p scene.Plant, share float64) float64 {
	depth := sc.Tank.Water.DepthM
	return min(max(depth-p.Box.Min.Z-share*(p.Box.Max.Z-p.Box.Min.Z), 0), depth)
}

// stands sums up the light on stands of leaves from the planes that standRequests has added, and all others.
func stands(sc *scene.Scene, planes []result.Plane) (list []result.Stand) {
	for _, p := range sc.Tank.Plants {
		area := space.Area{FromXM: p.Box.Min.X, ToXM: p.Box.Max.X, FromYM: p.Box.Min.Y, ToYM: p.Box.Max.Y}
		for _, h := range standHeights {
			d := standDepthM(sc, p, h.share)
			i := slices.IndexFunc(planes, func(q result.Plane) bool { return math.Abs(q.DepthM-d) < 1e-9 })
			if i < 0 {
				continue
			}
			f := planes[i].Field
			in := f.Grid.Within(area, f.Solid)
			one := result.Stand{Name: p.Name, Where: h.where, DepthM: d,
				Illuminance: f.Grid.Summarise(f.Illuminance, in, 0), PPFD: f.Grid.Summarise(f.PPFD, in, 0)}
			one.DLI = dailyLight(sc, &planes[i], area, one.PPFD.Mean)
			list = append(list, one)
		}
	}
	return list
}
