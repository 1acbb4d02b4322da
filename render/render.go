// Package render decides which picture belongs to which answer, and hands plain data to the packages that draw one kind
// of picture each. It starts no engine. Pictures come as whole files in memory; the caller writes them.
// Next: package plan for plans and slices, package chart for numbers over numbers, package fig for their pieces.
package render

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/output"
	"fathomlux/render/plan"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/panics"
)

// Look is what all pictures of one call share.
type Look struct {
	Units       style.Units
	Format      style.Format // "" is PNG
	PixelFactor float64      // pixels a point, of PNG files and of pictures inside others
	Call        string       // the command line, kept in the file's notes
	Version     string
	Inner       bool // the pictures stand on a page that tells titles, figures and notes itself
}

// Picture is one finished file.
type Picture = output.File

// page is the words around a picture; footer goes on after the program's name and version.
func (l Look) page(title, subtitle, footer string, notes ...string) fig.Page {
	return fig.Page{Title: title, Subtitle: subtitle, Notes: notes, Footer: "fathomlux " + l.Version + footer,
		Units: l.Units, PixelFactor: l.PixelFactor, Inner: l.Inner}
}

// drawing is a picture that is still to be drawn, and its file's name without the ending.
type drawing struct {
	name    string
	picture interface{ Draw() (*style.Canvas, error) }
}

// Map draws the pictures of a map: a plan of each plane in lx, also in umol/m2/s where the goal speaks of photons,
// the two slices in the quantity that the goal counts, and where the lumens end. Plans in one unit share their scale
// with no other: planes at different depths differ too much for that.
func Map(ctx context.Context, m *result.Map, sc *scene.Scene, look Look, workers int) ([]Picture, error) {
	var list []drawing
	for i := range m.Planes {
		p := &m.Planes[i]
		list = append(list, planDrawing(m, p, sc, look, result.Illuminance))
		if _, photons := sc.Goal.Asks(); photons {
			list = append(list, planDrawing(m, p, sc, look, result.PPFD))
		}
	}
	for i := range m.Walls {
		list = append(list, wallDrawing(m, &m.Walls[i], look, result.Illuminance))
		if _, photons := sc.Goal.Asks(); photons {
			list = append(list, wallDrawing(m, &m.Walls[i], look, result.PPFD))
		}
	}
	for i := range m.Sections {
		list = append(list, sliceDrawing(m, &m.Sections[i], sc, look, m.Goal.Shown))
	}
	list = append(list, balanceDrawing(m, sc, look))
	if len(m.Kinds) > 1 {
		list = append(list, kindsDrawing(m, sc, look, result.PPFD), kindsDrawing(m, sc, look, result.Share))
	}
	return finish(ctx, list, look, workers)
}

// finish draws and encodes, several pictures at a time; their order is the list's.
func finish(ctx context.Context, list []drawing, look Look, workers int) ([]Picture, error) {
	out := make([]Picture, len(list))
	group, ctx := errgroup.WithContext(ctx)
	var broken panics.Carrier
	group.SetLimit(max(1, workers))
	for i, d := range list {
		group.Go(func() (err error) {
			defer broken.Catch()
			if ctx.Err() != nil {
				return ctx.Err()
			}
			out[i], err = d.finish(look)
			return err
		})
	}
	err := group.Wait()
	broken.Throw()
	return out, err
}

func (d drawing) finish(look Look) (Picture, error) {
	c, err := d.picture.Draw()
	if err != nil {
		return Picture{}, fmt.Errorf("%s: %w", d.name, err)
	}
	format := cmp.Or(look.Format, style.PNG)
	var b bytes.Buffer
	err = c.Encode(&b, format, style.Meta{Software: "fathomlux " + look.Version, Comment: look.Call})
	return Picture{Name: d.name + "." + string(format), Data: b.Bytes()}, err
}

// PlaneFileName is the name of a plane's files without their ending: "floor", or "depth-200-mm" for a plane at "200
// mm".
func PlaneFileName(plane string) string {
	if plane == "surface" || plane == "mid" || plane == "floor" {
		return plane
	}
	return "depth-" + regexp.MustCompile("[^a-zA-Z0-9.]").ReplaceAllString(plane, "-")
}

// usualEngine is the engine of all answers but those of a map that was asked for another.
const usualEngine = "full"

// mapPage is the words around a picture of a map: with which engine and version it was made, and the first thing that
// is to be known of it.
func mapPage(m *result.Map, look Look, subtitle string) fig.Page {
	footer := ", " + m.Junctions.Words()
	if m.Engine != usualEngine {
		footer = ", engine " + m.Engine + footer
	}
	if m.Maintenance < 1 {
		footer += fmt.Sprintf("; the light when new is shown, the goal is judged with %.3g of it", m.Maintenance)
	}
	return look.page(m.Title, subtitle, footer, firstNote(m.Warnings, look, ""))
}

// firstNote is the first thing that is to be known of a map on the picture of a plane, or on one of no plane: what is
// said of other planes is left out.
func firstNote(list []finding.Finding, look Look, plane string) string {
	others := func(f finding.Finding) bool {
		return f.Code == finding.ObstaclesFill && (plane == "" || f.Args[1] != finding.Arg(finding.Plane(plane)))
	}
	return cmp.Or(finding.Lines(slices.DeleteFunc(slices.Clone(list), others), finding.Note, look.Units)...)
}

func planDrawing(m *result.Map, p *result.Plane, sc *scene.Scene, look Look, q result.Quantity) drawing {
	page := mapPage(m, look, PlaneWords(p, look.Units)+": "+q.Name())
	page.Notes = []string{firstNote(m.Warnings, look, p.Name)}
	goal := m.Goal.On(p.DepthM)
	one := plan.Plan{Page: page, Scene: sc, Plane: p, Quantity: q, Goal: goal, GoalNote: goalNote(m, goal, q)}
	name := PlaneFileName(p.Name)
	if q == result.PPFD {
		name += "-ppfd"
	}
	if one.GoalNote != "" {
		one.Goal = result.Goal{Parts: goal.Parts, Shown: goal.Shown}
	}
	return drawing{name, one}
}

// goalNote says why a plan is not held against what the goal asks of its plane, empty where it is.
func goalNote(m *result.Map, on result.Goal, q result.Quantity) string {
	switch {
	case !m.Goal.Asked:
		return "none set"
	case !on.Asked:
		return "set for " + strings.Join(planesOf(m.Goal), ", ")
	case m.Goal.Shown != q:
		return "judged in " + m.Goal.Shown.Name()
	}
	return ""
}

// planesOf names the planes that a goal speaks of, each once.
func planesOf(g result.Goal) (planes []string) {
	for _, p := range g.Parts {
		if !slices.Contains(planes, p.Plane) {
			planes = append(planes, p.Plane)
		}
	}
	return planes
}

// FaceFileName is the name of the files of a side of the tank without their ending: "face-back".
func FaceFileName(side string) string { return "face-" + strings.ReplaceAll(side, " ", "-") }

func wallDrawing(m *result.Map, w *result.Wall, look Look, q result.Quantity) drawing {
	name := FaceFileName(w.Name)
	if q == result.PPFD {
		name += "-ppfd"
	}
	page := mapPage(m, look, "inner side of the face "+w.Name+" under water: "+q.Name()+" of its own plane")
	if w.Illuminance.Mean > 0 {
		page.Notes = append(page.Notes, fmt.Sprintf("Standard error of a place: %.2g %% of the mean.",
			100*w.ErrorLx/w.Illuminance.Mean))
	}
	return drawing{name, plan.Wall{Page: page, Wall: w, Quantity: q}}
}

// PlaneWords names a plane for people: "floor, 420 mm under the surface".
func PlaneWords(p *result.Plane, u style.Units) string {
	if p.Name == "surface" {
		return "just under the surface"
	}
	return map[string]string{"mid": "mid-water, ", "floor": "floor, "}[p.Name] + u.Length(p.DepthM) + " under the surface"
}

func sliceDrawing(m *result.Map, s *result.Section, sc *scene.Scene, look Look, q result.Quantity) drawing {
	at := look.Units.Length(s.AtM)
	name, where := "section-along", "along the tank at y = "+at+", seen from the front: "
	if s.Axis == result.AcrossY {
		name, where = "section-across", "across the tank at x = "+at+", seen from the left: "
	}
	one := plan.Slice{Page: mapPage(m, look, where+q.Name()+" of horizontal planes"), Scene: sc, Section: s, Quantity: q,
		Chosen: len(m.Sections) == 0} // a glance has no slices of its own
	if q == m.Goal.Shown {
		one.GoalLevel = m.Goal.Level
	}
	return drawing{name, one}
}

// GlancePlan draws the plane that a glance at a scene shows, in a quantity.
func GlancePlan(g *result.Glance, sc *scene.Scene, q result.Quantity, look Look) (Picture, error) {
	return planDrawing(glanced(g, sc), cmp.Or(g.Shown, &g.Plane), sc, look, q).finish(look)
}

// GlanceSlice draws the slice of a glance at a scene, in a quantity.
func GlanceSlice(g *result.Glance, sc *scene.Scene, q result.Quantity, look Look) (Picture, error) {
	return sliceDrawing(glanced(g, sc), &g.Section, sc, look, q).finish(look)
}

// glanced is what the words around a picture of a glance tell.
func glanced(g *result.Glance, sc *scene.Scene) *result.Map {
	return &result.Map{Title: sc.Title, Engine: usualEngine, Maintenance: 1, Goal: g.Goal, Junctions: g.Junctions}
}
