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

// head is the part of an answer that is text. After it come numbers: lux of the plane, PPFD of the plane, lux of the slice,
// PPFD of the slice.
type head struct {
	Plane    gridHead  `json:"plane"`
	Section  cutHead   `json:"section"`
	Lux      lightHead `json:"lux"`
	PPFD     lightHead `json:"ppfd"`
	DLI      float64   `json:"dli"` // 0 where the scene gives no hours
	PowerW   float64   `json:"power_w"`
	LumensLm float64   `json:"lumens_lm"`
	Heat     string    `json:"heat"`
	Goal     goalHead  `json:"goal"`
	Verdict  string    `json:"verdict"`
	Bounced  float64   `json:"bounced_share"` // of what lands that straight light alone leaves out
	Missing  string    `json:"bounced"`       // the same in words, empty where it is nothing
	Misfit   string    `json:"misfit"`
}

// gridHead is a grid over the tank's plan and how deep it lies.
type gridHead struct {
	NX      int     `json:"nx"`
	NY      int     `json:"ny"`
	DepthMM float64 `json:"depth_mm"`
}

// cutHead is the grid of a slice, its scale, and the edges of the beams in it as x, z, x, z...
type cutHead struct {
	N     int         `json:"n"`
	NZ    int         `json:"nz"`
	YMM   float64     `json:"y_mm"`
	Scale scaleHead   `json:"scale"` // of its lux
	PPFD  scaleHead   `json:"ppfd_scale"`
	Rays  [][]float64 `json:"rays_mm"`
}

// lightHead is what counts of one quantity on the plane.
type lightHead struct {
	Mean        float64   `json:"mean"`
	Min         float64   `json:"min"`
	Max         float64   `json:"max"`
	MinOverMean float64   `json:"min_over_mean"`
	Scale       scaleHead `json:"scale"`
}

type scaleHead struct {
	Low   float64   `json:"low"`
	High  float64   `json:"high"`
	Ticks []float64 `json:"ticks"`
}

type goalHead struct {
	Quantity string   `json:"quantity"` // that it counts: "illuminance" or "PPFD"
	Level    float64  `json:"level"`    // the mean of it that is asked for, 0 for none
	Asked    bool     `json:"asked"`
	Met      bool     `json:"met"`
	Missing  []string `json:"missing"`
}

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
		_, _ = w.Write(packed(refusal{err.Error()}))
		return
	}
	_, _ = w.Write(packed(headOf(g, sc), g.Plane.Field.Illuminance, g.Plane.Field.PPFD, g.Section.Illuminance, g.Section.PPFD))
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

func headOf(g *result.Glance, sc *scene.Scene) head {
	p, cut := &g.Plane, &g.Section
	out := head{
		Plane:   gridHead{NX: p.Field.Grid.NX, NY: p.Field.Grid.NY, DepthMM: thousand(p.DepthM)},
		Section: cutHead{N: cut.N, NZ: cut.NZ, YMM: thousand(cut.AtM), Scale: scaleOf(cut.Illuminance), PPFD: scaleOf(cut.PPFD), Rays: [][]float64{}},
		Lux:     lightOf(p.Illuminance, p.Field.Illuminance), PPFD: lightOf(p.PPFD, p.Field.PPFD),
		PowerW: g.PowerW, LumensLm: g.LumensLm, Heat: g.Junctions.Words(), Verdict: g.Verdict, Bounced: float64(g.Bounced), Missing: g.Bounced.Words(), Misfit: g.Goal.Hurdle,
		Goal: goalHead{Quantity: g.Goal.Shown.Name(), Level: g.Goal.Level, Asked: g.Goal.Asked, Met: g.Goal.Met, Missing: append([]string{}, g.Goal.Missing...)},
	}
	if sc.Wiring.HoursPerDay > 0 {
		out.DLI = p.DLI
	}
	for _, ray := range cut.Rays {
		var line []float64
		for _, at := range ray.Points {
			line = append(line, thousand(at.X), thousand(at.Z))
		}
		out.Section.Rays = append(out.Section.Rays, line)
	}
	return out
}

func lightOf(s result.Statistics, values []float64) lightHead {
	return lightHead{Mean: s.Mean, Min: s.Min, Max: s.Max, MinOverMean: s.MinOverMean, Scale: scaleOf(values)}
}

func scaleOf(values []float64) scaleHead {
	s := style.ScaleFor(values)
	return scaleHead{Low: s.Low, High: s.High, Ticks: s.Ticks}
}

// packed joins an answer: the length of its text as four bytes, the text as JSON, spaces up to a multiple of four bytes,
// and the numbers as 32-bit floats; all little-endian.
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
