package scene

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/space"
)

// Goal is what the light has to reach on a plane or on an area of it, and on others: all parts of it have to be met.
// A number is 0 where the scene does not ask for it.
type Goal struct {
	Name          string // of this part, as the file gives it or by its number; empty for a plane without areas
	Plane         PlaneRef
	Area          space.Area // all of the plane where it is the zero Area
	IlluminanceLx float64    // lowest mean illuminance
	PPFD          float64    // lowest mean PPFD, umol/m2/s
	DLI           float64    // lowest mean daily light integral, mol/m2/day
	Uniformity    float64    // lowest min/mean

	MostLx, MostPPFD, MostDLI float64 // highest means
	LowestLx, LowestPPFD      float64 // of the dimmest place
	HighestLx, HighestPPFD    float64 // of the brightest place
	ColourK                   float64 // correlated colour temperature of the mean, K
	StepsAtMost               float64 // how far the colour of a place may be from the mean, in steps of 0.0011 in u' and v'
	Others                    []Goal  // the further parts, in the order of the file; none of them has others
}

// Parts returns the parts of the goal, the first one first, none of which has others.
func (g Goal) Parts() []Goal {
	first := g
	first.Others = nil
	return append([]Goal{first}, g.Others...)
}

// Label is what the part is called: by its name, or by that of its plane.
func (g Goal) Label() string { return cmp.Or(g.Name, g.Plane.Name) }

// On returns the part that speaks of a plane, where one alone does.
func (g Goal) On(depthM float64) (part Goal, alone bool) {
	n := 0
	for _, p := range g.Parts() {
		if p.Plane.DepthM == depthM && p.asks() {
			part = p
			n++
		}
	}
	return part, n == 1
}

// Depths returns the depths of the goal's planes, each once, that of the first part first.
func (g Goal) Depths() []float64 {
	depths := []float64{g.Plane.DepthM}
	for _, p := range g.Others {
		if !slices.Contains(depths, p.Plane.DepthM) {
			depths = append(depths, p.Plane.DepthM)
		}
	}
	return depths
}

// Daily returns what the goal asks of daily light, and nothing else.
func (g Goal) Daily() (daily Goal) {
	for _, p := range g.Parts() {
		one := Goal{Name: p.Name, Plane: p.Plane, Area: p.Area, DLI: p.DLI, MostDLI: p.MostDLI}
		switch {
		case one.DLI+one.MostDLI == 0:
		case daily.Set():
			daily.Others = append(daily.Others, one)
		default:
			daily = one
		}
	}
	return daily
}

// Photons tells whether the goal asks for PPFD or DLI and nowhere for illuminance; so uniformity is that of photons,
// too.
func (g Goal) Photons() bool {
	lux, photons := g.Asks()
	return photons && !lux
}

// Asks tells whether any part of the goal asks for illuminance, and whether any asks for PPFD or DLI.
func (g Goal) Asks() (lux, photons bool) {
	lux, photons = g.counts()
	for i := range g.Others {
		l, p := g.Others[i].counts()
		lux, photons = lux || l, photons || p
	}
	return lux, photons
}

// counts tells what the part asks for itself.
func (g *Goal) counts() (lux, photons bool) {
	return g.IlluminanceLx > 0 || g.MostLx > 0 || g.LowestLx > 0 || g.HighestLx > 0,
		g.PPFD > 0 || g.MostPPFD > 0 || g.DLI > 0 || g.MostDLI > 0 || g.LowestPPFD > 0 || g.HighestPPFD > 0
}

// Set tells whether the scene asks for anything.
func (g Goal) Set() bool { return slices.ContainsFunc(g.Parts(), Goal.asks) }

// asks tells whether the part asks for anything.
func (g Goal) asks() bool {
	lux, photons := g.counts()
	return lux || photons || g.Uniformity > 0 || g.Coloured()
}

// Coloured tells whether the part asks for a colour, or that it is even.
func (g Goal) Coloured() bool { return g.ColourK > 0 || g.StepsAtMost > 0 }

// goal reads what the light has to reach: one part, or a list of them. root is where a missing goal is noted.
func (r *reader) goal(f key.Fields, root document.Node) {
	n, g := f.Get("goal"), &r.scene.Goal
	g.Plane = PlaneRef{Name: "floor", DepthM: r.scene.Tank.Water.DepthM}
	if !n.Exists() {
		root.Warn(finding.NoGoal.Of())
		return
	}
	var rows []key.Fields
	if n.IsSequence() {
		rows = f.Rows("goal")
	} else {
		rows = append(rows, f.Open("goal"))
	}
	var parts []Goal
	for i, one := range rows {
		part := Goal{Plane: g.Plane}
		told := r.report.Told()
		if r.goalPart(one, &part); part.Name == "" && part.Area != (space.Area{}) {
			part.Name = fmt.Sprintf("part %d", i+1)
		}
		if r.report.Told() == told {
			r.besides(one, part, rows, parts)
		}
		parts = append(parts, part)
	}
	if len(parts) > 0 {
		*g = parts[0]
	}
	if len(parts) > 1 {
		g.Others = parts[1:]
	}
}

func (r *reader) goalPart(f key.Fields, g *Goal) {
	f.Fill(g)
	for i, name := range []string{"lowest", "highest"} {
		n := f.Get(name)
		if !n.Exists() {
			continue
		}
		lux, ppfd := &g.LowestLx, &g.LowestPPFD
		if i == 1 {
			lux, ppfd = &g.HighestLx, &g.HighestPPFD
		}
		of := key.Goal.Row(name).Shape.Of
		if _, photons := g.counts(); strings.Contains(n.Text(), "/") || photons && g.IlluminanceLx == 0 {
			*ppfd = of[1].Value(n)
		} else {
			*lux = of[0].Value(n)
		}
	}
	if g.DLI+g.MostDLI > 0 && !r.hours.Exists() && r.scene.Day == nil {
		f.Get("dli").Faultf("a daily light integral needs the hours of light; give wiring.hours such as 9 h")
	}
	if g.DLI+g.MostDLI > 0 && r.hours.IsScalar() && r.scene.Wiring.HoursPerDay == 0 {
		f.Get("dli").Warn(finding.NoHours.Of())
	}
	if !g.asks() {
		f.At().Warn(finding.EmptyGoal.Of())
	}
	n := f.Get("plane")
	if text := n.Text(); text != "" && r.scene.Tank.Water.DepthM > 0 {
		plane, err := r.scene.Tank.Plane(text)
		if err != nil {
			n.Faultf("%v", err)
			return
		}
		g.Plane = plane
	}
	r.reach(f, g)
}

// reach finds what no light can reach: limits that exclude each other, an area outside the tank or inside an obstacle.
func (r *reader) reach(f key.Fields, g *Goal) {
	for _, l := range []struct{ low, high float64 }{{g.LowestLx, g.HighestLx}, {g.LowestPPFD, g.HighestPPFD}} {
		if l.high > 0 && l.low >= l.high {
			f.Get("lowest").Faultf("the dimmest place would be as bright as the brightest one may be; give less than highest")
		}
	}
	for _, l := range []struct{ mean, high float64 }{{g.IlluminanceLx, g.HighestLx}, {g.PPFD, g.HighestPPFD}} {
		if l.high > 0 && l.mean > l.high {
			f.Get("highest").Faultf("the brightest place may not be as bright as the mean has to be; give more than the mean")
		}
	}
	for _, l := range []struct{ mean, low float64 }{{g.MostLx, g.LowestLx}, {g.MostPPFD, g.LowestPPFD}} {
		if l.mean > 0 && l.low > l.mean {
			f.Get("lowest").Faultf("the dimmest place would be brighter than the mean may be; give less than the mean")
		}
	}
	if !f.Has("area") || !f.Open("area").At().IsMapping() || r.scene.Tank.LengthM == 0 || r.scene.Tank.WidthM == 0 {
		return
	}
	t, area := r.scene.Tank, f.Open("area")
	for _, side := range []struct {
		name          string
		fromM, untilM float64
		insideM       float64
	}{{"x", g.Area.FromXM, g.Area.ToXM, t.LengthM}, {"y", g.Area.FromYM, g.Area.ToYM, t.WidthM}} {
		n := area.Get(side.name)
		switch {
		case !n.Exists() || side.fromM == 0 && side.untilM == 0: // complained about
		case side.untilM == 0:
			n.Faultf("one end alone; give both, as in 100..400 mm")
		case side.untilM > side.insideM+sameM:
			n.Faultf("the area reaches out of the tank; inside, %s runs from 0 mm to %s", side.name, say(side.insideM))
		}
	}
	z := t.Water.DepthM - g.Plane.DepthM
	for _, o := range t.Obstacles {
		if b := o.Box; z >= b.Min.Z-sameM && z < b.Max.Z-sameM && g.Area.FromXM >= b.Min.X-sameM &&
			g.Area.ToXM <= b.Max.X+sameM && g.Area.FromYM >= b.Min.Y-sameM && g.Area.ToYM <= b.Max.Y+sameM {
			f.Get("area").Faultf("the area lies inside the obstacle %s, where no light is; its top is %s below the surface",
				document.Visible(o.Name), say(t.Water.DepthM-b.Max.Z))
		}
	}
}

// sameM is how far two faces may lie apart and still be the same, in metres.
const sameM = 1e-6

// besides finds what a part of a goal cannot be beside those before it, whose rows are the first ones.
func (r *reader) besides(f key.Fields, g Goal, rows []key.Fields, before []Goal) {
	lux, photons := g.counts()
	for i, p := range before {
		line := rows[i].At().Place().Line
		if p.Plane.DepthM == g.Plane.DepthM && p.Area == g.Area {
			f.At().Faultf("the part on line %d speaks of the same place; put both into one, or give each an area such as "+
				"{x: 100..400 mm, y: 0..150 mm}", line)
		} else if p.Label() == g.Label() {
			f.Get("name").Faultf("%q is the name of the part on line %d already; give each its own", g.Label(), line)
		}
		if l, p := p.counts(); lux && p && !l || photons && l && !lux {
			f.At().Faultf("a goal is judged in one quantity: give this part and the one on line %d both in lx, or both in %s",
				line, "umol/m2/s")
			return
		}
	}
}
