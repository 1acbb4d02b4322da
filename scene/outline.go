package scene

import (
	"slices"

	"fathomlux/scene/form"
	"fathomlux/scene/key"
)

// outline reads the outline of the tank, whose length and width are known. A rectangle stays without one.
func (r *reader) outline(f key.Fields) {
	t, n := &r.scene.Tank, f.Get("outline")
	if !n.Exists() || t.LengthM == 0 || t.WidthM == 0 {
		return
	}
	var points []form.Point
	told := r.report.Told()
	switch {
	case n.IsMapping():
		points = r.cutOutline(f.Open("outline"))
	case n.IsSequence():
		points = r.drawnOutline(f)
	default:
		switch f.Word("outline") {
		case "round":
			if points = form.Round(t.LengthM); t.LengthM != t.WidthM {
				n.Faultf("a round tank is as wide as long; give its diameter inside as both, not %s x %s", say(t.LengthM),
					say(t.WidthM))
			}
		case "hexagon":
			points = form.Hexagon(t.LengthM, t.WidthM)
		}
	}
	if points == nil || r.report.Told() > told {
		return
	}
	o, at, err := form.Draw(points)
	if err != nil && n.IsSequence() {
		n = n.Items()[at]
	}
	if err != nil {
		n.Faultf("%v", err)
	}
	t.Outline = o
	if lengthM, widthM := o.Size(); lengthM > t.LengthM+SlackM || widthM > t.WidthM+SlackM || o.Lowest() < -SlackM {
		n.Faultf("an arc of the outline bows out of the tank's length and width, %s x %s", say(t.LengthM), say(t.WidthM))
	}
}

// cutOutline reads a rectangle of which an edge or a corner differs; without points where none does.
func (r *reader) cutOutline(f key.Fields) []form.Point {
	t := r.scene.Tank
	given := f.Given()
	if len(given) != 1 {
		return nil
	}
	one := f.Open(given[0])
	if given[0] == "bow-front" {
		sagitta := one.Value("sagitta", 0)
		if most := min(t.WidthM, t.LengthM/2); sagitta > most-SlackM {
			one.Get("sagitta").Faultf("a front that bows out by %s leaves no sides; give less than %s", say(sagitta), say(most))
		}
		if sagitta > 0 {
			return form.BowFront(t.LengthM, t.WidthM, sagitta)
		}
		return nil
	}
	cut, corner := one.Value("cut", 0), 1
	if one.Has("at") {
		corner = slices.Index([]string{"front left", "front right", "back right", "back left"}, one.Word("at"))
	}
	if most := min(t.WidthM, t.LengthM); cut > most-SlackM {
		one.Get("cut").Faultf("a cut of %s leaves nothing of a side; give less than %s", say(cut), say(most))
	}
	if cut > 0 && corner >= 0 {
		return form.CutCorner(t.LengthM, t.WidthM, cut, corner)
	}
	return nil
}

// pointShape is what stands behind each point of an outline.
var pointShape = key.Tank.Row("outline").Shape.Of[2].Of[0]

// drawnOutline reads an outline point by point.
func (r *reader) drawnOutline(f key.Fields) (list []form.Point) {
	t := r.scene.Tank
	for _, n := range f.Items("outline") {
		var at []float64
		for _, one := range pointShape.Items(n) {
			at = append(at, pointShape.Of[0].Value(one))
		}
		if at = append(at, 0, 0, 0); at[0] < -SlackM || at[0] > t.LengthM+SlackM || at[1] < -SlackM || at[1] > t.WidthM+SlackM {
			n.Faultf("the point is outside the tank's length and width, %s x %s, which are those of a "+
				"rectangle about the outline", say(t.LengthM), say(t.WidthM))
		}
		list = append(list, form.Point{Corner: form.Corner{XM: at[0], YM: at[1]}, SagittaM: at[2]})
	}
	return list
}

// edgeWalls reads walls edge by edge of the outline.
func (r *reader) edgeWalls(f key.Fields) {
	t, edges := &r.scene.Tank, 4
	list := f.Items("edges")
	if !t.Outline.Empty() {
		edges = slices.Max(t.Outline.Edges) + 1
	}
	if f.Has("edges") && len(list) != edges {
		f.Get("edges").Faultf("%d walls are given for %d edges; give one for each, in the order of the outline's points, "+
			"or front, right, back and left", len(list), edges)
		return
	}
	for _, n := range list {
		t.EdgeWalls = append(t.EdgeWalls, readWall(n))
	}
	if t.Outline.Empty() && t.EdgeWalls != nil {
		t.Outline, _, _ = form.Draw(form.Rectangle(t.LengthM, t.WidthM))
	}
	if len(t.Outline.Corners) == 4 && t.Outline.AreaM2() > t.LengthM*t.WidthM*(1-1e-9) { // a rectangle after all
		for edge := range 4 {
			*[4]*Wall{&t.Walls.Front, &t.Walls.Right, &t.Walls.Back, &t.Walls.Left}[t.Outline.Side(edge)] = t.Wall(edge)
		}
		t.Outline, t.EdgeWalls = form.Outline{}, nil
	}
}

// Wall returns the wall of an edge of the outline.
func (t *Tank) Wall(edge int) Wall {
	if t.EdgeWalls != nil {
		return t.EdgeWalls[edge]
	}
	return [4]Wall{t.Walls.Front, t.Walls.Right, t.Walls.Back, t.Walls.Left}[t.Outline.Side(edge)]
}
