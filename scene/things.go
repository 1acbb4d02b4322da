package scene

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/form"
	"fathomlux/scene/key"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// substrates are the shares that usual substrates reflect, wet and in white light weighted with V(lambda). They are
// invented within the range that is published for such ground: from some 0.05 for wet dark soil to 0.35 for wet sand.
var substrates = map[string]float64{"sand": 0.3, "gravel": 0.18, "soil": 0.07}

// ground reads what the floor is made of, and its heights.
func (r *reader) ground(f key.Fields) {
	t := &r.scene.Tank
	f.Fill(t)
	if f.Has("substrate") {
		t.FloorReflectance = substrates[f.Word("substrate")]
	}
	if f.Has("film") {
		t.FloorReflectance, t.FloorPane = f.Value("film", 0), true
	}
	told, at, g := r.report.Told(), f.Get("heights"), form.Ground{}
	switch {
	case at.Exists():
		g = r.heights(f)
	case f.Has("front") || f.Has("back"):
		front, back := r.ends(f, "front", "back")
		at, g = f.Get("back"), form.Slope(t.LengthM, t.WidthM, [4]float64{front, front, back, back})
	case f.Has("left") || f.Has("right"):
		left, right := r.ends(f, "left", "right")
		at, g = f.Get("right"), form.Slope(t.LengthM, t.WidthM, [4]float64{left, right, left, right})
	default:
		return
	}
	if r.report.Told() > told || len(g.HeightsM) == 0 || t.LengthM == 0 || t.WidthM == 0 {
		return
	}
	low := slices.Min(g.HeightsM)
	for i := range g.HeightsM {
		g.HeightsM[i] -= low
	}
	switch high := g.HighestM(); {
	case high > t.Water.DepthM-SlackM && t.Water.DepthM > 0:
		at.Faultf("the ground rises %s over its lowest place, above the water, which is %s deep there; lower it or give "+
			"more water", say(high), say(t.Water.DepthM))
	case high > 0:
		if low > 0 {
			at.Warn(finding.HeightsFromLowest.Of(finding.Length(low)))
		}
		t.Ground = g
	}
}

// ends returns the heights at two walls, of which both must be given.
func (r *reader) ends(f key.Fields, one, other string) (a, b float64) {
	f.Demand(one)
	f.Demand(other)
	return f.Value(one, 0), f.Value(other, 0)
}

// rowOfHeights is what stands behind each item of the heights of a floor.
var rowOfHeights = key.Tank.Row("floor").Shape.Keys.Row("heights").Shape.Of[1].Of[0]

// heights reads the heights of the ground from the scene or from a file beside it.
func (r *reader) heights(f key.Fields) (g form.Ground) {
	var rows [][]float64
	at := f.Get("heights")
	if at.IsSequence() {
		for i, n := range f.Items("heights") {
			var row []float64
			for _, one := range rowOfHeights.Items(n) {
				row = append(row, rowOfHeights.Of[0].Value(one))
			}
			if rows = append(rows, row); len(row) != len(rows[0]) && len(row) > 0 {
				n.Faultf("row %d has %d heights, the first has %d; give each the same number", i+1, len(row), len(rows[0]))
			}
		}
	} else if name := at.Text(); name != "" {
		data, err := r.open(name)
		if err == nil {
			rows, err = heightRows(data)
		}
		if err != nil {
			at.Faultf("the heights of the ground, %s: %v", name, err)
		}
	}
	if len(rows) == 0 || slices.ContainsFunc(rows, func(row []float64) bool { return len(row) != len(rows[0]) }) {
		return g // a fault was told of it
	}
	t := r.scene.Tank
	return form.Ground{LengthM: t.LengthM, WidthM: t.WidthM, NX: len(rows[0]), NY: len(rows),
		HeightsM: slices.Concat(rows...)}
}

// heightRows reads rows of heights with their units; lines that begin with # are passed over.
func heightRows(data []byte) (rows [][]float64, err error) {
	c := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	c.Comment, c.TrimLeadingSpace, c.FieldsPerRecord = '#', true, -1
	records, err := c.ReadAll()
	if err != nil {
		return nil, errors.New("it is no CSV: " + strings.TrimPrefix(err.Error(), "parse error on "))
	}
	const most = form.MostHeights
	if len(records) < 2 || len(records) > most {
		return nil, fmt.Errorf("%d rows; give 2 to %d, the first at the front", len(records), most)
	}
	for i, record := range records {
		if n := len(record); n < 2 || n > most || n != len(records[0]) {
			return nil, fmt.Errorf("row %d has %d heights; give 2 to %d, in each row as many as in the first", i+1, n, most)
		}
		var row []float64
		for _, text := range record {
			v, err := unit.Length.Parse(strings.TrimSpace(text))
			if err == nil && !(v >= 0 && v <= MaxSideM) {
				err = fmt.Errorf("%.20s is out of range; give a height from 0 mm to %s", text, say(MaxSideM))
			}
			if err != nil {
				return nil, fmt.Errorf("row %d: %w", i+1, err)
			}
			row = append(row, v)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

func (r *reader) things(f key.Fields) {
	for i, one := range f.Rows("things") {
		in := struct {
			Name        string
			Kind        form.Kind
			At, Size    []float64
			TurnRad     float64
			Reflectance float64
		}{Name: fmt.Sprintf("thing %d", i+1), Reflectance: 0.2}
		told := r.report.Told()
		one.Fill(&in)
		thing := Thing{Name: in.Name, Reflectance: in.Reflectance}
		if one.Has("shape") {
			one.Demand("at")
			one.Demand("size")
		}
		if r.report.Told() == told && !one.At().Spoilt() && r.scene.Tank.LengthM > 0 && r.scene.Tank.WidthM > 0 {
			if one.Has("rocks") {
				thing.Solids = r.heap(one.Open("rocks"))
			} else if len(in.At) > 1 && len(in.Size) > 2 { // else spoilt
				thing.Solids = []form.Solid{r.solid(in.Kind, in.At, in.Size, in.TurnRad)}
			}
			r.within(one.At(), thing.Solids)
		}
		r.scene.Tank.Things = append(r.scene.Tank.Things, thing)
	}
}

// solid returns a solid at x and y, and z where that is given. Without, it stands on the lowest ground under it, so
// that no gap is left, and an ellipsoid on that under its middle.
func (r *reader) solid(kind form.Kind, at, size []float64, turnRad float64) form.Solid {
	middle, half := space.Point{X: at[0], Y: at[1]}, space.Vector{X: size[0] / 2, Y: size[1] / 2, Z: size[2] / 2}
	ground := &r.scene.Tank.Ground
	middle.Z = ground.HeightM(at[0], at[1])
	solid := form.NewSolid(kind, middle, half, turnRad)
	for _, p := range solid.Girth() {
		if kind != form.Ellipsoid {
			solid.Middle.Z = min(solid.Middle.Z, ground.HeightM(p.X, p.Y))
		}
	}
	if len(at) > 2 {
		solid.Middle.Z = at[2]
	}
	solid.Middle.Z += half.Z
	return solid
}

func (r *reader) heap(f key.Fields) []form.Solid {
	told := r.report.Told()
	var in struct {
		space.Area
		HeightM float64
		Seed    int
	}
	f.Fill(&in)
	for _, side := range []struct {
		name     string
		from, to float64
	}{{"x", in.FromXM, in.ToXM}, {"y", in.FromYM, in.ToYM}} {
		if n := f.Get(side.name); n.Exists() && r.report.Told() == told && side.to-side.from < leastHeapM {
			n.Faultf("a heap takes %s or more; give both ends, as in 100..400 mm", say(leastHeapM))
		}
	}
	if r.report.Told() > told {
		return nil
	}
	return form.Heap{Area: in.Area, HeightM: in.HeightM, Seed: uint64(in.Seed)}.Stones(&r.scene.Tank.Ground)
}

// leastHeapM is the shortest side of a heap.
const leastHeapM = 0.01

// within refuses solids that reach out of the tank: beyond its walls, above its rim or up to its cover, or that the
// ground hides.
func (r *reader) within(at document.Node, solids []form.Solid) {
	t := r.scene.Tank
	top, of := t.HeightM, "rim"
	if c := t.Cover; c != nil && t.Water.DepthM+c.AboveWaterM < top {
		top, of = t.Water.DepthM+c.AboveWaterM, "cover"
	}
	var b space.Box
	for i := range solids {
		if one := solids[i].Bounds(); i == 0 {
			b = one
		} else {
			b = space.Box{Min: space.Point{X: min(b.Min.X, one.Min.X), Y: min(b.Min.Y, one.Min.Y), Z: min(b.Min.Z, one.Min.Z)},
				Max: space.Point{X: max(b.Max.X, one.Max.X), Y: max(b.Max.Y, one.Max.Y), Z: max(b.Max.Z, one.Max.Z)}}
		}
	}
	switch out := max(-b.Min.X, -b.Min.Y, b.Max.X-t.LengthM, b.Max.Y-t.WidthM); {
	case len(solids) == 0 || t.HeightM == 0: // complained about
	case out > SlackM:
		at.Faultf("it reaches %s out of the tank, whose inside is %s x %s; move it in or make it smaller", say(out),
			say(t.LengthM), say(t.WidthM))
	case !t.Outline.Empty() && slices.ContainsFunc(solids, t.leaves):
		at.Faultf("it reaches out of the tank's outline; move it in or make it smaller")
	case b.Max.Z > top-SlackM:
		at.Faultf("it ends at a height of %s, not below the %s at %s; make it lower", say(b.Max.Z), of, say(top))
	case b.Max.Z < t.Ground.HeightM((b.Min.X+b.Max.X)/2, (b.Min.Y+b.Max.Y)/2)+SlackM:
		at.Faultf("it ends at a height of %s, under the ground; lift it", say(b.Max.Z))
	}
}

// leaves tells whether a solid reaches out of the outline.
func (t *Tank) leaves(s form.Solid) bool {
	return slices.ContainsFunc(s.Girth(), func(at space.Point) bool { return !t.Outline.Holds(at) })
}

// bar is a rim or a brace.
type bar struct{ XM, YM, WidthM, ThicknessM, Reflectance float64 }

// frame reads rim and braces. What is black is an obstacle, what sends light back a thing.
func (r *reader) frame(f key.Fields) {
	t := &r.scene.Tank
	if f.Has("rim") {
		of, in := f.Open("rim"), bar{}
		of.Fill(&in)
		if wide := min(t.LengthM, t.WidthM); in.WidthM >= wide/2 && wide > 0 {
			of.Get("width").Faultf("%s from each side leaves no opening between walls that are %s apart", say(in.WidthM),
				say(wide))
			return
		}
		x, y := t.LengthM-in.WidthM, t.WidthM-in.WidthM
		if !t.Outline.Empty() {
			t.Things = append(t.Things, r.round(of, in))
		} else {
			r.bars(of, "rim", in, [][4]float64{{0, t.LengthM, 0, in.WidthM}, {0, t.LengthM, y, t.WidthM},
				{0, in.WidthM, in.WidthM, y}, {x, t.LengthM, in.WidthM, y}})
		}
	}
	for i, of := range f.Rows("braces") {
		r.brace(of, fmt.Sprintf("brace %d", i+1))
	}
}

// brace reads a bar from wall to wall; one that an outline cuts ends there.
func (r *reader) brace(f key.Fields, title string) {
	t, in, told := &r.scene.Tank, bar{}, r.report.Told()
	f.Fill(&in)
	along := f.Has("y")
	name, at, insideM, longM := "x", in.XM, t.LengthM, t.WidthM
	if along {
		name, at, insideM, longM = "y", in.YM, t.WidthM, t.LengthM
	}
	low, high := at-in.WidthM/2, at+in.WidthM/2
	if r.report.Told() == told && insideM > 0 && (low < -SlackM || high > insideM+SlackM) {
		f.Get(name).Faultf("the brace reaches out of the tank; inside, %s runs from 0 mm to %s", name, say(insideM))
	}
	spans := []float64{0, longM}
	if !t.Outline.Empty() && r.report.Told() == told {
		if spans = t.Outline.Reach(low, high, along); len(spans) == 0 {
			f.Get(name).Faultf("the brace is outside of the tank's outline; move it in")
		}
	}
	var plans [][4]float64
	for k := 0; k+1 < len(spans); k += 2 {
		if along {
			plans = append(plans, [4]float64{spans[k], spans[k+1], low, high})
		} else {
			plans = append(plans, [4]float64{low, high, spans[k], spans[k+1]})
		}
	}
	r.bars(f, title, in, plans)
}

// round returns the rim of a tank with an outline of its own, a bar along each edge.
func (r *reader) round(f key.Fields, in bar) Thing {
	t, rim := &r.scene.Tank, Thing{Name: "rim", Reflectance: in.Reflectance, Frame: true}
	if in.ThicknessM >= t.HeightM {
		f.Get("thickness").Faultf("%s is not less than the tank's height, %s", say(in.ThicknessM), say(t.HeightM))
		return rim
	}
	for i, a := range t.Outline.Corners {
		b, n := t.Outline.Corners[(i+1)%len(t.Outline.Corners)], t.Outline.Normal(i)
		middle := space.Point{X: (a.XM+b.XM)/2 + n.X*in.WidthM/2, Y: (a.YM+b.YM)/2 + n.Y*in.WidthM/2,
			Z: t.HeightM - in.ThicknessM/2}
		half := space.Vector{X: math.Hypot(b.XM-a.XM, b.YM-a.YM) / 2, Y: in.WidthM / 2, Z: in.ThicknessM / 2}
		rim.Solids = append(rim.Solids, form.NewSolid(form.Box, middle, half, math.Atan2(b.YM-a.YM, b.XM-a.XM)))
	}
	return rim
}

// bars adds bars level with the rim, from x to x and from y to y.
func (r *reader) bars(f key.Fields, name string, of bar, plans [][4]float64) {
	t := &r.scene.Tank
	if of.ThicknessM >= t.HeightM && t.HeightM > 0 {
		f.Get("thickness").Faultf("%s is not less than the tank's height, %s", say(of.ThicknessM), say(t.HeightM))
	}
	pale := Thing{Name: name, Reflectance: of.Reflectance, Frame: true}
	for _, p := range plans {
		b := space.Box{Min: space.Point{X: p[0], Y: p[2], Z: t.HeightM - of.ThicknessM},
			Max: space.Point{X: p[1], Y: p[3], Z: t.HeightM}}
		switch {
		case b.Empty(): // complained about
		case of.Reflectance == 0:
			t.Obstacles = append(t.Obstacles, Obstacle{Name: name, Box: b})
		default:
			pale.Solids = append(pale.Solids, form.NewSolid(form.Box,
				space.Point{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2, Z: (b.Min.Z + b.Max.Z) / 2},
				space.Vector{X: (b.Max.X - b.Min.X) / 2, Y: (b.Max.Y - b.Min.Y) / 2, Z: (b.Max.Z - b.Min.Z) / 2}, 0))
		}
	}
	if len(pale.Solids) > 0 {
		t.Things = append(t.Things, pale)
	}
}

// aroundRails refuses things in the space of a rail's bar.
func (r *reader) aroundRails(f key.Fields) {
	t := r.scene.Tank
	first := len(t.Things) - len(f.Get("things").Items()) // those of the frame stand before
	for i := range t.Things {
		for _, rail := range r.scene.Rails {
			half := rail.Profile.WidthM / 2
			bar := space.Box{Min: space.Point{X: rail.LeftM, Y: rail.YM - half, Z: t.Water.DepthM + rail.AboveWaterM}}
			bar.Max = space.Point{X: rail.LeftM + rail.LengthM, Y: rail.YM + half, Z: bar.Min.Z + rail.Profile.HeightM}
			if slices.ContainsFunc(t.Things[i].Solids, func(s form.Solid) bool { return meets(s.Bounds(), bar) }) {
				at := f.At()
				if i >= first {
					at = f.Item("things", i-first)
				}
				at.Faultf("%s stands in the space of %s; make it lower or lift the rail", document.Visible(t.Things[i].Name),
					RailWord(rail.Name))
			}
		}
	}
}

// meets tells whether two boxes have space in common.
func meets(a, b space.Box) bool {
	return math.Max(a.Min.X, b.Min.X) < math.Min(a.Max.X, b.Max.X) &&
		math.Max(a.Min.Y, b.Min.Y) < math.Min(a.Max.Y, b.Max.Y) &&
		math.Max(a.Min.Z, b.Min.Z) < math.Min(a.Max.Z, b.Max.Z)
}
