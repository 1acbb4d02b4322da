package fig

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/render/style"
)

// setTable draws a table on a page of the given text width.
func setTable(t *testing.T, b Table, widthPt float64) (c *style.Canvas, left int) {
	t.Helper()
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	block, left := b.Block(letters, widthPt)
	c, err = drawPage(letters, widthPt+2*Margin, Margin, []Block{block, lines(letters, widthPt, style.Text{Text: "below", Font: style.TitleFont})})
	if err != nil {
		t.Fatal(err)
	}
	return c, left
}

// find returns the box of a text.
func find(t *testing.T, c *style.Canvas, text string) style.Box {
	t.Helper()
	for _, p := range c.Texts() {
		if p.Text == text {
			return p.Box
		}
	}
	t.Fatalf("%q is not on the page", text)
	return style.Box{}
}

func TestTableAlignsNumbersRight(t *testing.T) {
	c, left := setTable(t, Table{
		Columns: []string{"candidate", "mean, lx", "power from the mains, W"},
		Rows: []Row{
			{Cells: []string{"a", "1", "12.4"}, Mark: Disc},
			{Cells: []string{"a longer name", "12345", "8.1"}, Mark: Ring},
		},
	}, 900)
	if left != 0 {
		t.Errorf("%d columns had no room", left)
	}
	for _, pair := range [][2]string{{"1", "12345"}, {"12.4", "8.1"}, {"mean, lx", "1"}, {"the mains, W", "8.1"}} {
		a, b := find(t, c, pair[0]), find(t, c, pair[1])
		if d := a.Right - b.Right; d > 0.01 || d < -0.01 {
			t.Errorf("%q ends at %g, %q at %g", pair[0], a.Right, pair[1], b.Right)
		}
	}
	if a, b := find(t, c, "a"), find(t, c, "candidate"); a.Left != b.Left {
		t.Errorf("names start at %g and %g", a.Left, b.Left)
	}
	for _, fault := range c.Collisions() {
		t.Error(fault)
	}
}

func TestTableKeepsToItsWidth(t *testing.T) {
	long := strings.Repeat("\u00dcbergro\u00dfes Aquarium \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 ", 10)
	wide := Table{Columns: []string{long}}
	for k := range 40 {
		wide.Columns = append(wide.Columns, fmt.Sprintf("column %d", k))
	}
	for _, name := range []string{"short", long} {
		row := Row{Cells: []string{name}, Mark: Disc}
		for k := range 50 { // more than there are columns
			row.Cells = append(row.Cells, fmt.Sprint(k*k*k))
		}
		wide.Rows = append(wide.Rows, row)
	}
	wordy := Table{Columns: []string{long, long, long, long}, Rows: []Row{{Cells: []string{long, long, long, long}}, {Cells: []string{"only one"}}, {}}}
	for name, b := range map[string]Table{"wide": wide, "wordy": wordy, "empty": {}, "no rows": {Columns: []string{"a", "b"}}} {
		c, left := setTable(t, b, 1000)
		for _, fault := range c.Collisions() {
			t.Errorf("%s: %s", name, fault)
		}
		for _, p := range c.Texts() {
			if p.Box.Right > 1000+Margin+0.1 {
				t.Errorf("%s: %q ends at %g, beyond the table's width", name, p.Text, p.Box.Right)
			}
		}
		if (left > 0) != (name == "wide" || name == "wordy") {
			t.Errorf("%s: %d columns left out", name, left)
		}
	}
}

func TestSignsTellApart(t *testing.T) {
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(100, 50, letters)
	if err != nil {
		t.Fatal(err)
	}
	for i, mark := range []Mark{None, Disc, Ring} {
		mark.Sign(c, style.Pt(20+30*float64(i), 25), 6)
	}
	paper, ink := c.ColourAt(style.Pt(1, 1)), c.ColourAt(style.Pt(50, 25))
	if ink == paper || c.ColourAt(style.Pt(20, 25)) != paper || c.ColourAt(style.Pt(80, 25)) != paper || c.ColourAt(style.Pt(85, 25)) == paper {
		t.Error("no sign, a disc and a ring do not look like that")
	}
}
