package finding

import (
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fathomlux/scene/unit"
)

// table reads the rows of words.go: their words by the variable's name.
func table(t *testing.T) map[string]string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), "words.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	rows, names := map[string]string{}, map[string]bool{}
	ast.Inspect(f, func(n ast.Node) bool {
		if spec, is := n.(*ast.ValueSpec); is {
			var cells []string
			ast.Inspect(spec.Values[0], func(n ast.Node) bool {
				if s, is := n.(*ast.BasicLit); is {
					text, _ := strconv.Unquote(s.Value)
					cells = append(cells, text)
				}
				return true
			})
			if len(cells) < 2 || names[cells[0]] {
				t.Errorf("%s: no words, or the name %q twice", spec.Names[0].Name, cells[0])
				return false
			}
			names[cells[0]], rows[spec.Names[0].Name] = true, strings.Join(cells[1:], "")
		}
		return true
	})
	return rows
}

// TestCodesMatchTheirWords reads all code of the project: each row of the table is produced somewhere, with as many
// arguments as its words take, one by one, and by its name alone.
func TestCodesMatchTheirWords(t *testing.T) {
	t.Parallel()
	rows := table(t)
	made := map[string]bool{}
	for _, wing := range []string{"scene", "optics", "render", "cmd"} {
		err := filepath.WalkDir(filepath.Join("..", "..", wing), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			data, err := os.ReadFile(path)
			if err != nil || !strings.Contains(string(data), "fathomlux/scene/finding") {
				return err
			}
			for _, fault := range misuses(t, path, data, rows, made) {
				t.Error(fault)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for name := range rows {
		if !made[name] {
			t.Errorf("%s: nothing produces it", name)
		}
	}
}

// misuses lists what a file does wrong with codes, and notes in made which it produces.
func misuses(t *testing.T, path string, data []byte, rows map[string]string, made map[string]bool) (list []string) {
	t.Helper()
	files := token.NewFileSet()
	f, err := parser.ParseFile(files, path, data, 0)
	if err != nil {
		t.Fatal(err)
	}
	code := func(n ast.Node) string {
		if sel, is := n.(*ast.SelectorExpr); is {
			if x, is := sel.X.(*ast.Ident); is && x.Name == "finding" && rows[sel.Sel.Name] != "" {
				return sel.Sel.Name
			}
		}
		return ""
	}
	sound := map[ast.Node]bool{}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr:
			sel, is := n.Fun.(*ast.SelectorExpr)
			if is && sel.Sel.Name == "Of" && code(sel.X) != "" {
				name := code(sel.X)
				made[name], sound[sel.X] = true, true
				if takes := strings.Count(rows[name], "{}"); len(n.Args) != takes || n.Ellipsis.IsValid() {
					list = append(list, files.Position(n.Pos()).String()+": "+name+" takes "+strconv.Itoa(takes)+" arguments")
				}
			}
		case *ast.BinaryExpr: // asks which code it is
			sound[n.X], sound[n.Y] = true, true
		}
		if name := code(n); name != "" && !sound[n] {
			list = append(list, files.Position(n.Pos()).String()+": "+name+" is not produced by "+name+".Of(...)")
		}
		return true
	})
	return list
}

// TestMisusesAreFound shows that each rule can fail.
func TestMisusesAreFound(t *testing.T) {
	t.Parallel()
	const source = `package p
var a, b = finding.One.Of(x), finding.One.Of()
var c, d = finding.One.Of(list...), finding.One
var e = f.Code == finding.One`
	made := map[string]bool{}
	list := misuses(t, "p.go", []byte(source), map[string]string{"One": "has {}", "Two": "none"}, made)
	if len(list) != 3 || !made["One"] || made["Two"] {
		t.Errorf("%d misuses: %q, made %v", len(list), list, made)
	}
}

func TestWords(t *testing.T) {
	t.Parallel()
	code := &Code{"odd", Warning, "{} of {} hang {} too low, at {}"}
	f := code.Of(Count{2, "module"}, Text("rail main"), Length(0.0254), Span{0.254, 0.508}).At(Place{"a.yaml", 3, 5, "rails[0]"})
	for u, want := range map[unit.System]string{
		unit.Metric: "a.yaml:3:5: rails[0]: 2 modules of rail main hang 25.4 mm too low, at 254 to 508 mm",
		unit.US:     "a.yaml:3:5: rails[0]: 2 modules of rail main hang 1 in too low, at 10 to 20 in",
	} {
		if got := f.Line(u); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := Lines([]Finding{f, (&Code{"n", Note, "a note"}).Of()}, Warning, unit.Metric); len(got) != 1 {
		t.Errorf("lines from warnings on: %q", got)
	}
	if f := (Finding{}); f.Any() || f.Words(unit.Metric) != "" {
		t.Error("the zero finding says something")
	}
	cause := (&Code{"outer", Obstacle, "refused: {}; {}, {}, {}, {}"}).Of(code.Of(Text("a"), Text("b"), Text("c"), Text("d")),
		Percent(0.05), Volts(24.04), Celsius(85.2), Amount{unit.Current, 0.35})
	if got, want := cause.Line(unit.Metric), "refused: a of b hang c too low, at d; 5 %, 24.0 V, 85 °C, 350 mA"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	var long List
	for _, letter := range "abcdefghijk" {
		long = append(long, Text(letter))
	}
	if got := long.Say(unit.Metric); got != "a, b, c, d, e, f, g, h and 3 more" {
		t.Errorf("a long list is %q", got)
	}
}

func TestFromToDiffer(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		from, to float64
		want     string
	}{{0.5001, 0.5004, "from 0.5001 W to 0.5004 W"}, {0.5004, 0.5001, "from 0.5004 W to 0.5001 W"},
		{0.5, 0.5, "from 0.500 W to 0.500 W"}, {0.4, 0.5, "from 0.400 W to 0.500 W"}} {
		if got := (FromTo{row.from, row.to, 3, "W"}).Say(unit.Metric); got != row.want {
			t.Errorf("%s, want %s", got, row.want)
		}
	}
}

func TestThenFollowsASemicolon(t *testing.T) {
	t.Parallel()
	for want, list := range map[string]Then{"": nil, "; the goal is met; its scene sets no goal": {ThenGoalMet.Of(), GoalUnset.Of()}} {
		if got := list.Say(unit.Metric); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestCausesStayFindings: an error that is a finding keeps its arguments, so that it is told in the reader's units.
func TestCausesStayFindings(t *testing.T) {
	t.Parallel()
	for want, err := range map[string]error{"boards of a are 10 in apart": BoardsTight.Of(Text("a"), Length(0.254)), "no such file": errors.New("no such file")} {
		if got := Cause(err).Say(unit.US); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
