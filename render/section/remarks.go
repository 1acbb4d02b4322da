package section

import (
	"math"
	"sort"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// remark is a height that is named at the right edge, or a further line of such a name.
type remark struct {
	y, from float64 // page: the height, and the x at which its leader starts
	text    string
	further bool // a name's later line: without a leader
}

// remarkLines is the largest number of lines of one remark.
const remarkLines = 10

// remarks names the heights at the right edge: the surface, the cover, the rim and each rail. Texts that would meet
// are moved apart, each with a leader to its height.
func (d drawing) remarks() {
	const left, gap = 30.0, 17.0
	list := d.wrapped(d.heights(), d.Page().Right-12-d.frame.Right-left)
	sort.SliceStable(list, func(i, j int) bool { return list[i].y < list[j].y })
	wanted := make([]float64, len(list))
	for i, r := range list {
		wanted[i] = r.y
	}
	places := fig.Spread(wanted, gap, d.frame.Top+6, d.frame.Bottom-6)
	for i, r := range list {
		if !r.further {
			pen := style.Pen{Width: 1, Colour: style.SoftInk, Dash: []float64{2, 3}}
			d.Polyline([]style.Point{{X: math.Min(r.from+3, d.frame.Right), Y: r.y}, {X: d.frame.Right + 8, Y: r.y}}, pen)
			pen.Dash = nil
			d.Polyline([]style.Point{{X: d.frame.Right + 8, Y: r.y}, {X: d.frame.Right + left - 4, Y: places[i]}}, pen)
		}
		d.TryWrite(style.Text{
			Text: r.text, At: style.Pt(d.frame.Right+left, places[i]),
			Anchor: style.MiddleLeft, Font: style.LabelFont, Colour: style.SoftInk,
		})
	}
}

// wrapped returns the remarks with names that are wider than room on several lines.
func (d drawing) wrapped(list []remark, room float64) []remark {
	var all []remark
	for _, r := range list {
		for i, line := range d.Wrap(r.text, style.LabelFont, room, remarkLines) {
			all = append(all, remark{y: r.y, from: r.from, text: line, further: i > 0})
		}
	}
	return all
}

// heights returns the remarks; a height that lies outside the picture is left out, and of equal ones only the
// first is kept.
func (d drawing) heights() []remark {
	wall := d.x(d.along()) + wallPt
	list := []remark{{y: d.y(d.WaterDepthM), from: wall, text: "water surface"}}
	add := func(heightM, from float64, name string) {
		r := remark{y: d.air(heightM), from: math.Max(from, wall), text: name + " " + d.Units.Length(heightM)}
		if !(r.y >= d.frame.Top && r.y <= d.frame.Bottom) || len(list) > 12 {
			return
		}
		for _, other := range list {
			if other.text == r.text {
				return
			}
		}
		list = append(list, r)
	}
	if d.Cover != nil {
		add(d.Cover.FromM, wall, "cover")
	}
	if math.Abs(d.HeightM-d.WaterDepthM) > 1e-6 {
		add(d.HeightM-d.WaterDepthM, wall, "rim")
	}
	for _, r := range d.Rails {
		name := r.Name
		if name == "" {
			name = "rail"
		}
		add(r.HeightM, d.x(r.ToM), name)
	}
	return list
}
