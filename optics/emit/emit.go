// Package emit writes an optical model as plain text, so that anyone can follow its light with a tracer of their own:
// sources with their intensities in candela, layers, faces, things and spectra, in SI units and in the tank's axes
// (package space). The form is described in optics/EMIT.md. It computes nothing but tables of what the model holds.
// Next: package optics, which makes the model of a scene.
package emit

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/scene/form"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// Plane is a horizontal plane whose light is asked for, by its depth below the surface.
type Plane struct {
	Name   string
	DepthM float64
}

// Write writes the model with the planes that are asked for. The same model gives the same bytes. Errors: those of w.
func Write(w io.Writer, title string, m *model.Model, planes []Plane) error {
	t := &text{}
	t.line("fathomlux-scene", 1)
	t.line("title", title)
	t.line("water", m.DepthM, m.Water.Index(), m.Slope, m.Water.Asymmetry())
	if c := m.Cover; c != nil {
		panes := 1
		if c.Hollow {
			panes = 2
		}
		t.line("cover", m.DepthM+c.UndersideM, c.ThicknessM, c.Index, panes, c.Scatter, c.Asymmetry)
	}
	if h := m.Hood; h != nil {
		t.line("hood", corners(h.Box), h.Reflectance)
	}
	for _, p := range planes {
		t.line("plane", m.DepthM-p.DepthM, p.Name)
	}
	t.inside(m)
	for i, s := range m.Spectra {
		t.spectrum(i, s, m)
	}
	for i, b := range m.Beams {
		t.beam(i, b)
	}
	for _, s := range m.Sources {
		axis := m.Beams[s.Beam].PerLumen(space.Vector{Z: 1})
		t.line("source", s.Beam, s.Spectrum, s.LeavingLm, s.LeavingLm*axis, point(s.Position), vector(s.Frame.Aim),
			vector(s.Frame.Along))
	}
	t.line("end")
	_, err := io.WriteString(w, t.String())
	return err
}

// text is lines of words with single spaces between.
type text struct{ strings.Builder }

// line writes a keyword and values: numbers to nine digits, lists of them, words.
func (t *text) line(keyword string, values ...any) {
	t.WriteString(keyword)
	for _, v := range values {
		switch v := v.(type) {
		case float64:
			t.number(v)
		case []float64:
			for _, one := range v {
				t.number(one)
			}
		default:
			t.WriteString(" " + strings.Join(strings.Fields(fmt.Sprint(v)), " "))
		}
	}
	t.WriteByte('\n')
}

func (t *text) number(v float64) {
	t.WriteByte(' ')
	t.WriteString(strconv.FormatFloat(v+0, 'g', 9, 64)) // without a minus zero
}

func point(p space.Point) []float64   { return []float64{p.X, p.Y, p.Z} }
func vector(v space.Vector) []float64 { return []float64{v.X, v.Y, v.Z} }
func corners(b space.Box) []float64   { return append(point(b.Min), point(b.Max)...) }

// kinds are the names of kinds of walls.
var kinds = map[walls.Kind]string{walls.Glass: "pane", walls.Diffuse: "matt", walls.Mirror: "mirror",
	walls.Film: "film"}

// inside writes what stands in the tank, and its faces.
func (t *text) inside(m *model.Model) {
	for _, f := range m.Faces {
		w := f.Material
		var outline []float64
		for _, p := range f.Outline {
			outline = append(outline, point(p)...)
		}
		t.line("face", kinds[w.Kind], w.Index, w.Depth, w.Reflectance, w.Lost, vector(f.Normal), len(f.Outline), outline)
	}
	if g := m.Ground; g != nil {
		t.line("ground", g.LengthM, g.WidthM, g.NX, g.NY, g.HeightsM)
	}
	for _, b := range m.Boxes {
		t.line("box", corners(b))
	}
	for _, pile := range m.Solids {
		for _, s := range pile.Solids {
			name := strings.ReplaceAll(form.Kinds[s.Kind], " ", "-")
			t.line("solid", name, point(s.Middle), vector(s.Half), s.TurnRad, pile.Reflectance)
		}
	}
	for _, l := range m.Leaves {
		t.line("leaves", corners(l.Box), l.DensityPerM, l.Reflect, l.Transmit)
	}
	if f := m.Floating; f.Share > 0 {
		t.line("floating", f.Share, f.Area.FromXM, f.Area.ToXM, f.Area.FromYM, f.Area.ToYM)
	}
}

// spectrum writes the bands of one lumen of a spectrum, with what water and cover take of each.
func (t *text) spectrum(number int, s photometry.Spectrum, m *model.Model) {
	const metresPerNm = 1e-9
	watts, lumens := 0.0, 0.0
	for nm, w := range s.Powers() {
		watts += w
		lumens += photometry.Efficacy * photometry.V(nm) * w
	}
	t.line("spectrum", number, watts/lumens)
	for nm, w := range s.Powers() {
		cover := 0.0
		if m.Cover != nil {
			cover = m.Cover.AbsorbPerM(nm)
		}
		t.line("band", nm*metresPerNm, w/lumens, photometry.V(nm), m.Water.AbsorbPerM(nm),
			m.Water.MolecularScatterPerM(nm), m.Water.ParticleScatterPerM(nm), cover)
	}
}

// Nodes of the tables of intensity: angles to the aim, the closer the nearer to it, and turns about it.
const (
	aimNodes  = 361
	turnNodes = 72
)

// beam writes the intensity of one lumen over the hemisphere about the aim.
func (t *text) beam(number int, b *beam.Beam) {
	turns := make([]float64, turnNodes)
	for i := range turns {
		turns[i] = 2 * math.Pi * float64(i) / turnNodes
	}
	if b.Round() {
		turns = turns[:1]
	}
	t.line("beam", number, len(turns), turns)
	for i := range aimNodes {
		share := float64(i) / (aimNodes - 1)
		angle := math.Pi / 2 * share * share
		row := make([]float64, len(turns))
		for j, turn := range turns {
			sin, cos := math.Sincos(angle)
			row[j] = b.PerLumen(space.Vector{X: sin * math.Cos(turn), Y: sin * math.Sin(turn), Z: cos})
		}
		t.line("intensity", angle, row)
	}
}
