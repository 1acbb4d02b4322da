package render

import (
	"context"
	"fmt"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/sheet"
	"fathomlux/scene"
)

// Shown is one scene of a comparison with what its place on the sheet needs.
type Shown struct {
	Name    string
	Scene   *scene.Scene
	Plane   *result.Plane
	Goal    result.Goal
	Met     bool
	Figures []string // one a column
	Note    string
}

// Comparison is what a contact sheet shows of several scenes.
type Comparison struct {
	Title   string
	Columns []string
	Shown   result.Quantity // of the maps
	List    []Shown
	Verdict string
	Notes   []string // below the table
	Engine  string   // "direct", "traced" or "full", of all

	Junctions result.Junctions
}

// Compare draws the contact sheet of a comparison under a file name.
func Compare(ctx context.Context, name string, c Comparison, look Look) ([]Picture, error) {
	return finish(ctx, []drawing{compareDrawing(name, c, look)}, look, 1)
}

func compareDrawing(name string, c Comparison, look Look) drawing {
	s := sheet.Sheet{Columns: c.Columns, Verdict: c.Verdict, Quantity: c.Shown, GoalLevel: c.commonGoal()}
	plane, common := c.commonPlane()
	subtitle := fmt.Sprintf("%s of the plane %q", s.Quantity.Name(), plane)
	if !common {
		subtitle = s.Quantity.Name() + " of the plane that each is judged by, named below its map"
	}
	s.Page = look.page(c.Title, subtitle, ", engine "+c.Engine+", "+c.Junctions.Words()+"; one scale for all", c.Notes...)
	for _, one := range c.List {
		if !common {
			one.Note = strings.TrimSuffix(fmt.Sprintf("plane %q; %s", one.Plane.Name, one.Note), "; ")
		}
		s.GoalAsked = s.GoalAsked || one.Scene.Goal.Set()
		s.Candidates = append(s.Candidates, sheet.Candidate{Name: one.Name, Scene: one.Scene, Field: one.Plane.Field,
			Uniformity: one.Plane.Light(c.Shown).MinOverMean, Figures: one.Figures, Met: one.Met, Note: one.Note})
	}
	return drawing{name, s}
}

// commonPlane returns the name of the plane that the first is judged by, and whether it is that of all.
func (c Comparison) commonPlane() (name string, common bool) {
	name = c.List[0].Plane.Name
	for _, one := range c.List {
		if one.Plane.Name != name {
			return name, false
		}
	}
	return name, true
}

// commonGoal returns the mean of the quantity shown that all goals ask for; 0 where they differ.
func (c Comparison) commonGoal() float64 {
	for _, one := range c.List {
		if one.Goal.Level != c.List[0].Goal.Level || one.Goal.Shown != c.Shown {
			return 0
		}
	}
	return c.List[0].Goal.Level
}
