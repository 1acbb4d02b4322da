package live

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"net/http"

	"fathomlux/optics/result"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// object is a mapping of a JSON text, as the page reads it.
type object = map[string]any

// light computes one state. What cannot be is an answer too, with the reason; the request itself was right.
func (h *Handler) light(w http.ResponseWriter, r *http.Request) {
	var s State
	if !decode(w, r, &s) {
		return
	}
	g, sc, err := h.compute(r, s)
	if r.Context().Err() != nil {
		return // the page has gone, or has a newer state
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	if err != nil {
		_, _ = w.Write(packed(refusal(err)))
		return
	}
	_, _ = w.Write(packed(headOf(g, sc), g.Plane.Field.Illuminance, g.Plane.Field.PPFD,
		g.Section.Illuminance, g.Section.PPFD))
}

func (h *Handler) compute(r *http.Request, s State) (*result.Glance, *scene.Scene, error) {
	sc, err := h.set(s)
	if err != nil {
		return nil, nil, err
	}
	glance, err := h.glance(s.Version)
	if err != nil {
		return nil, nil, err
	}
	g, err := glance(r.Context(), sc)
	return g, sc, err
}

// headOf is the part of an answer that is text. After it come numbers: lux of the plane, PPFD of the plane, lux of the
// slice, PPFD of the slice. The edges of the beams in the slice are x, z, x, z...; what is bounced is the share of what
// lands that straight light alone leaves out, and the same in words.
func headOf(g *result.Glance, sc *scene.Scene) object {
	p, cut, goal := &g.Plane, &g.Section, g.Goal
	dli := 0.0 // where the scene gives no hours
	if sc.Wiring.HoursPerDay > 0 {
		dli = p.DLI
	}
	rays := make([][]float64, len(cut.Rays))
	for i, ray := range cut.Rays {
		for _, at := range ray.Points {
			rays[i] = append(rays[i], thousand(at.X), thousand(at.Z))
		}
	}
	return object{
		"plane": object{"nx": p.Field.Grid.NX, "ny": p.Field.Grid.NY, "depth_mm": thousand(p.DepthM)},
		"section": object{"n": cut.N, "nz": cut.NZ, "y_mm": thousand(cut.AtM), "scale": scaleOf(cut.Illuminance),
			"ppfd_scale": scaleOf(cut.PPFD), "rays_mm": rays},
		"lux": lightOf(p.Illuminance, p.Field.Illuminance), "ppfd": lightOf(p.PPFD, p.Field.PPFD), "dli": dli,
		"power_w": g.PowerW, "lumens_lm": g.LumensLm, "heat": g.Junctions.Words(), "verdict": g.Verdict,
		"bounced_share": float64(g.Bounced), "bounced": g.Bounced.Words(), "misfit": goal.Unbuildable,
		"goal": object{"quantity": goal.Shown.Name(), "level": goal.Level, "asked": goal.Asked, "met": goal.Met,
			"missing": append([]string{}, goal.Missing()...)},
	}
}

func lightOf(s result.Statistics, values []float64) object {
	return object{"mean": s.Mean, "min": s.Min, "max": s.Max, "min_over_mean": s.MinOverMean, "scale": scaleOf(values)}
}

func scaleOf(values []float64) object {
	s := style.ScaleFor(values)
	return object{"low": s.Low, "high": s.High, "ticks": s.Ticks}
}

// packed joins an answer: the length of its text as four bytes, the text as JSON, spaces up to a multiple of four
// bytes, and the numbers as 32-bit floats; all little-endian.
func packed(text any, numbers ...[]float64) []byte {
	data, err := json.Marshal(text)
	if err != nil {
		data = []byte(`{"refused":"the answer holds a number that is none"}`)
		numbers = nil
	}
	for len(data)%4 != 0 {
		data = append(data, ' ')
	}
	out := binary.LittleEndian.AppendUint32(nil, uint32(len(data)))
	out = append(out, data...)
	for _, list := range numbers {
		for _, v := range list {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(v)))
		}
	}
	return out
}
