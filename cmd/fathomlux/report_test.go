package main

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"

	"fathomlux/render/report"
)

// reported runs the constructor on a line of flags and returns what it asks for.
func reported(t *testing.T, args ...string) reportOptions {
	t.Helper()
	var got reportOptions
	c := newReportCommand(streams{}, func(_ context.Context, _ streams, o reportOptions) error {
		got = o
		return nil
	})
	root := &cobra.Command{Use: "fathomlux"}
	root.AddCommand(c)
	root.SetArgs(append([]string{"report"}, args...))
	root.SetOut(&bytes.Buffer{})
	if err := root.Execute(); err != nil {
		t.Fatal(err)
	}
	return got
}

func TestReportOptions(t *testing.T) {
	o := reported(t, "dir/foyer.yaml", "--vary", "spacing=1mm:2mm:1mm", "--optic=round-40,it's", "--vary=height=1 mm,2 mm", "--out", "secret", "--workers=2", "--quiet")
	const want = `fathomlux report foyer.yaml --optic='round-40,it'\''s' --vary=spacing=1mm:2mm:1mm --vary='height=1 mm,2 mm'`
	if o.call != want {
		t.Errorf("call %s\nwant %s", o.call, want)
	}
	if o.scene != "dir/foyer.yaml" || o.lead != "2 m" || o.spare != "10 %" || o.maintenance != 1 || len(o.vary) != 2 || o.requireGoal {
		t.Errorf("%+v", o)
	}
	if plain := reported(t, "a b.yaml").call; plain != "fathomlux report a b.yaml" {
		t.Errorf("call %s", plain)
	}
}

func TestShortCautions(t *testing.T) {
	known := []report.Caution{{Text: "mains", SectionID: "a"}}
	s := report.Section{ID: "b", Blocks: []report.Block{{Cautions: []string{"mains; codes decide", "hot: wait; codes decide", "hot: wait"}}, {}, {Cautions: []string{"glass"}}}}
	got := shortCautions(known, s)
	if want := []report.Caution{{Text: "hot: wait", SectionID: "b"}, {Text: "glass", SectionID: "b"}}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestReportOfTheFoyer: the page of the example has every section and picture, no caution is lost on the way to the top,
// and it is done within seconds: three for a quiet machine, ten where tests run side by side.
func TestReportOfTheFoyer(t *testing.T) {
	start := time.Now()
	file := foyerCopy(t)
	o := reported(t, file)
	p := pageOf(t, o, file)
	if d := time.Since(start); d > 10*time.Second {
		t.Errorf("the report took %v", d)
	}
	var ids, figures, tables []string
	for _, s := range p.Sections {
		ids = append(ids, s.ID)
		for _, b := range s.Blocks {
			if b.Figure != nil {
				figures = append(figures, b.Figure.Name)
			}
			if b.Table != nil {
				tables = append(tables, b.Table.Caption)
			}
		}
	}
	if got, want := strings.Join(ids, " "), "scene light wiring heat cost drilling build words source"; got != want {
		t.Errorf("sections %s, want %s", got, want)
	}
	if got, want := strings.Join(figures, " "), "surface.png mid.png floor.png section-along.png section-across.png books.png wiring.svg heat.png"; got != want {
		t.Errorf("figures %s, want %s", got, want)
	}
	for _, want := range []string{"Light on level planes", "Ways to divide the modules", "Wires", "Temperatures and power of each module", "Bill of parts", "Rail main, bar-40x20, 1100 mm long", "Test card, driver drawer-700"} {
		if !slices.Contains(tables, want) {
			t.Errorf("the table %q is missing among %q", want, tables)
		}
	}
	for _, want := range []string{"bright beams", "mains beside water", "driver drawer-700: IP67", "strings reach 42 V", "the rail reaches about 35 C", "you drill once", "a rail above glass"} {
		if !slices.ContainsFunc(p.Cautions, func(c report.Caution) bool { return strings.HasPrefix(c.Text, want) }) {
			t.Errorf("no caution begins with %q", want)
		}
	}
}
