package key

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"fathomlux/scene/document"
)

// opened returns the fields of a text, and the report of its reading.
func opened(t *testing.T, table *Table, text string) (Fields, *document.Report) {
	t.Helper()
	report := &document.Report{}
	root, ok := document.Read("a.yaml", []byte(text), report)
	if !ok {
		t.Fatal(report.Err())
	}
	return table.Of(root), report
}

// everyRow calls look for each row of the tables.
func everyRow(s Shape, path string, look func(path string, r Row)) {
	for _, one := range s.Of {
		everyRow(one, path, look)
	}
	if s.Keys == nil {
		return
	}
	for _, r := range s.Keys.Rows {
		look(path+"."+r.Name, r)
		everyRow(r.Shape, path+"."+r.Name, look)
	}
}

// TestExamplesServe: each row's own example is read by it without a fault, and written back as the same value.
func TestExamplesServe(t *testing.T) {
	t.Parallel()
	tried := 0
	everyRow(Shape{Keys: Scene}, "", func(path string, r Row) {
		if r.Shape.Kind != Quantity && r.Shape.Kind != Number && r.Shape.Kind != Whole {
			return
		}
		for _, example := range r.Shape.Examples {
			tried++
			one := &Table{Rows: []Row{r}}
			f, report := opened(t, one, r.Name+": "+example+"\n")
			value := f.Value(r.Name, math.NaN())
			if err := report.Err(); err != nil {
				t.Errorf("%s: %v", path, err)
			}
			again, _ := opened(t, one, r.Name+": "+r.In(value)+"\n")
			if got := again.Value(r.Name, math.NaN()); !(math.Abs(got-value) <= 1e-6*math.Abs(value)) {
				t.Errorf("%s: %s is written as %s", path, example, r.In(value))
			}
		}
	})
	if tried < 90 {
		t.Errorf("only %d examples", tried)
	}
}

// TestOldNamesAreRead: each under its new name, with a note, and no old name is a key of today.
func TestOldNamesAreRead(t *testing.T) {
	t.Parallel()
	old := 0
	everyRow(Shape{Keys: Scene}, "", func(path string, r Row) {
		if r.Old == "" {
			return
		}
		old++
		f, report := opened(t, &Table{Rows: []Row{r}}, r.Old+": "+r.Shape.Examples[0]+"\n")
		if !f.Has(r.Name) || report.Err() != nil {
			t.Errorf("%s is not read as %s: %v", r.Old, r.Name, report.Err())
		}
		if len(report.Warnings) != 1 || !strings.Contains(report.Warnings[0].String(), r.Old+" is called "+r.Name+" now") {
			t.Errorf("%s: %v", path, report.Warnings)
		}
	})
	if old < 9 {
		t.Errorf("only %d renamed keys", old)
	}
}

// TestRulesBetweenKeys: what a table says of keys together holds, and is told where it does not.
func TestRulesBetweenKeys(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		table      *Table
		text, want string
	}{
		{tables["dies"], "{along: 1, across: 1, pitch: 6 mm, pitch_along: 5 mm}", "pitch_along: pitch and pitch_along exclude each other"},
		{tables["wall"], "{}", "give exactly one of film, paint, diffuse, mirror"},
		{tables["wall"], "{paint: 0.1, mirror: 0.1}", "give exactly one of film, paint, diffuse, mirror"},
		{tables["wall"], "{mirror: 0.1}", ""},
		{tables["wall"], "[]", "a list is given here"},
	} {
		_, report := opened(t, c.table, c.text)
		if err := report.Err(); (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.text, err, c.want)
		}
	}
}

// TestReadersOfAMapping: what is given, what is not, and what must be.
func TestReadersOfAMapping(t *testing.T) {
	t.Parallel()
	f, report := opened(t, tables["driver"], "{based_on: a, currents: [350 mA, 0.5 A], voltage: {low: 9 V, high: 48 V}, efficiency: 85 %, price: 4 EUR}")
	type money struct {
		Amount   float64
		Currency string
	}
	type driver struct {
		CurrentsA                 []float64
		LowestV, HighestV, RatedW float64
		IP                        string
		Price                     money
	}
	got := driver{CurrentsA: []float64{1}, RatedW: 7, IP: "IP20"}
	f.Fill(&got)
	want := driver{[]float64{0.35, 0.5}, 9, 48, 7, "IP20", money{4, "EUR"}}
	if at := f.Item("currents", 1); !reflect.DeepEqual(got, want) || at.Place().Path != "currents[1]" || f.Value("efficiency", 0) != 0.85 {
		t.Errorf("%v at %s", got, at.Place().Path)
	}
	if changes := tables["driver"].Changes(driver{RatedW: 7}, driver{RatedW: 8.5}, "a"); len(changes) != 1 || changes[0].Value != "8.5 W" {
		t.Errorf("the changes are %v", changes)
	}
	if !f.Based || report.Err() != nil {
		t.Error(report.Err())
	}
	f, report = opened(t, tables["driver"], "{efficiency: [{load: 0.5, share: 0.8}], currents: []}")
	if f.Fill(&got); got.RatedW != 0 {
		t.Errorf("the rated power is missing and %g", got.RatedW)
	}
	if rows := f.Rows("efficiency"); rows != nil {
		t.Errorf("a table of one row is read: %v", rows)
	}
	for _, want := range []string{"rated: missing; give a power such as 33.6 W (rated output power)",
		"efficiency: the list is too short; give at least 2", "currents: the list is too short; give at least 1"} {
		if err := report.Err(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %s", err, want)
		}
	}
	test := tables["module"].Row("maintenance").Shape.Of[0].Keys
	for text, want := range map[string]float64{"{alpha: 2e-6}": 2e-6, "{alpha: 2e-3 1/kh}": 2e-6} {
		if f, _ := opened(t, test, text); math.Abs(f.Value("alpha", 0)-want) > 1e-18 {
			t.Errorf("%s: %g", text, f.Value("alpha", 0))
		}
	}
}
