// Package render decides which picture belongs to which answer, and hands plain data to the packages that draw one kind
// of picture each. It starts no engine. Pictures come as whole files in memory; the caller writes them.
// Next: package heatmap for plans, package section for slices, package style for colours, rulers and files.
package render

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"strings"

	"golang.org/x/sync/errgroup"

	"fathomlux/optics/result"
	"fathomlux/render/heatmap"
	"fathomlux/render/section"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// Look is what all pictures of one call share.
type Look struct {
	Units       style.Units
	Format      style.Format // "" is PNG
	PixelFactor float64      // pixels a point, of PNG files and of pictures inside others
	Call        string       // the command line, kept in the file's notes
	Version     string
}

// Picture is one finished file.
type Picture struct {
	Name string // with its ending
	Data []byte
}

// drawing is a picture that is still to be drawn.
type drawing struct {
	name, title string // of the file, without its ending; of the picture
	draw        func() (*style.Canvas, error)
}

// Map draws the pictures of a map: a plan of each plane in lx, also in umol/m2/s where the goal speaks of photons, the
// two slices in the quantity that the goal counts, and where the lumens end. Plans in one unit share their scale with no other: planes at different depths differ too
// much for that.
func Map(ctx context.Context, m *result.Map, sc *scene.Scene, look Look, workers int) ([]Picture, error) {
	var list []drawing
	for i := range m.Planes {
		p := &m.Planes[i]
		list = append(list, planDrawing(m, p, sc, look, result.Illuminance))
		if sc.Goal.PPFD > 0 || sc.Goal.DLI > 0 {
			list = append(list, planDrawing(m, p, sc, look, result.PPFD))
		}
	}
	for i := range m.Sections {
		list = append(list, sectionDrawing(m, &m.Sections[i], sc, look))
	}
	if m.Balance.Emitted > 0 {
		list = append(list, booksDrawing(m, sc, look))
	} else {
		list = append(list, darkDrawing(m, look))
	}
	if len(m.Kinds) > 1 {
		list = append(list, kindsDrawing(m, sc, look, result.PPFD), kindsDrawing(m, sc, look, result.Share))
	}
	return finish(ctx, list, look, workers)
}

// finish draws and encodes, several pictures at a time; their order is the list's.
func finish(ctx context.Context, list []drawing, look Look, workers int) ([]Picture, error) {
	out := make([]Picture, len(list))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(1, workers))
	for i, d := range list {
		group.Go(func() (err error) {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			out[i], err = d.finish(look)
			return err
		})
	}
	return out, group.Wait()
}

// finish draws and encodes one picture.
func (d drawing) finish(look Look) (Picture, error) {
	c, err := d.draw()
	if err != nil {
		return Picture{}, fmt.Errorf("%s: %w", d.name, err)
	}
	return d.encode(c, look.Format, look)
}

// encode writes a page as a file of a format.
func (d drawing) encode(c *style.Canvas, format style.Format, look Look) (Picture, error) {
	format = cmp.Or(format, style.PNG)
	var b bytes.Buffer
	err := c.Encode(&b, format, style.Meta{Title: d.title, Software: "fathomlux " + look.Version, Comment: look.Call})
	return Picture{Name: d.name + "." + string(format), Data: b.Bytes()}, err
}

// PlaneFileName is the name of a plane's files without their ending: "floor", or "depth-200-mm" for a plane at "200 mm".
func PlaneFileName(plane string) string {
	var b strings.Builder
	for _, r := range plane {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '.' {
			b.WriteRune(r)
		} else {
			b.WriteByte('-')
		}
	}
	name := b.String()
	if name != "surface" && name != "mid" && name != "floor" {
		return "depth-" + name
	}
	return name
}

// footer says with which engine and version a picture was made.
func footer(m *result.Map, look Look) string {
	text := fmt.Sprintf("fathomlux %s, engine %s, %s", look.Version, m.Engine, m.Junctions.Words())
	if m.Maintenance < 1 {
		text += fmt.Sprintf("; the light when new is shown, the goal is judged with %.3g of it", m.Maintenance)
	}
	return text
}

// sliceFooter is the footer of slices, which the direct engine sums whatever the planes were computed with.
func sliceFooter(m *result.Map, look Look) string {
	sliced := *m
	if sliced.Engine != "direct" {
		sliced.Engine = "direct (planes: " + m.Engine + ")"
	}
	return footer(&sliced, look)
}

// planDrawing prepares the plan of one plane.
func planDrawing(m *result.Map, p *result.Plane, sc *scene.Scene, look Look, q result.Quantity) drawing {
	plan := heatmap.Plan{
		Title: m.Title, Subtitle: planSubtitle(p, q, look.Units), Field: p.Field, Quantity: q, Statistics: p.Light(q),
		Engine: engineNote(m), Footer: footer(m, look), LengthM: sc.Tank.LengthM, WidthM: sc.Tank.WidthM,
		Rails: railsFromAbove(sc), Modules: marksFromAbove(sc), Signs: signsFromAbove(sc), Obstacles: obstaclesFromAbove(sc),
		GoalNote: goalNote(m, p, q), Units: look.Units, PixelFactor: look.PixelFactor,
	}
	name := PlaneFileName(p.Name)
	if q == result.PPFD {
		name += "-ppfd"
	}
	if q == p.Shown {
		plan.Dark, plan.DarkLimit = p.DarkCorners, p.DarkLimit
	}
	if plan.GoalNote == "" {
		plan.Goal = m.Goal
		plan.GoalLevel = result.Of(q, sc.Goal.IlluminanceLx, sc.Goal.PPFD)
		if q == m.Goal.Shown {
			plan.GoalLevel = m.Goal.Level
		}
	}
	return drawing{name: name, title: m.Title + ", " + plan.Subtitle, draw: func() (*style.Canvas, error) { return heatmap.Draw(plan) }}
}

// goalNote says why a plan is not held against the goal, empty where it is.
func goalNote(m *result.Map, p *result.Plane, q result.Quantity) string {
	switch {
	case !m.Goal.Asked:
		return "none set"
	case m.Goal.Plane != p.Name:
		return "set for " + m.Goal.Plane
	case m.Goal.Shown != q:
		return "judged in " + m.Goal.Shown.Name()
	}
	return ""
}

func planSubtitle(p *result.Plane, q result.Quantity, u style.Units) string {
	what := map[string]string{"surface": "just under the surface", "mid": "mid-water", "floor": "floor"}[p.Name]
	if what == "" || p.Name == "mid" || p.Name == "floor" {
		depth := fmt.Sprintf("%s %s under the surface", u.Figure(p.DepthM), u.Name())
		if what == "" {
			what = depth
		} else {
			what += ", " + depth
		}
	}
	return what + ": " + q.Name()
}

// engineNote is the first thing that is to be known of a map, empty where there is nothing.
func engineNote(m *result.Map) string {
	for _, text := range append([]string{m.Junctions.Warning()}, m.Warnings...) {
		if text != "" {
			return text
		}
	}
	return ""
}

// sectionDrawing prepares a slice.
func sectionDrawing(m *result.Map, s *result.Section, sc *scene.Scene, look Look) drawing {
	t := sc.Tank
	slice := section.Slice{
		Title: m.Title, Section: *s, LengthM: t.LengthM, WidthM: t.WidthM, HeightM: t.HeightM, WaterDepthM: t.Water.DepthM,
		Rails: railsInSlice(sc, s), Modules: marksInSlice(sc, s), Through: throughModule(sc, s), Blocks: blocksInSlice(sc, s), Quantity: m.Goal.Shown, GoalLevel: m.Goal.Level,
		Units: look.Units, PixelFactor: look.PixelFactor, Engine: engineNote(m), Footer: sliceFooter(m, look),
	}
	if t.Cover != nil {
		slice.Cover = &section.Cover{FromM: t.Cover.AboveWaterM, ThicknessM: t.Cover.ThicknessM}
	}
	at := fmt.Sprintf("%s %s", look.Units.Figure(s.AtM), look.Units.Name())
	slice.Subtitle = "along the tank at y = " + at + ", seen from the front: " + m.Goal.Shown.Name() + " of level planes"
	name := "section-along"
	if s.Axis == result.AcrossY {
		slice.Subtitle = "across the tank at x = " + at + ", seen from the left: " + m.Goal.Shown.Name() + " of level planes"
		name = "section-across"
	}
	return drawing{name: name, title: m.Title + ", " + slice.Subtitle, draw: func() (*style.Canvas, error) { return section.Draw(slice) }}
}
