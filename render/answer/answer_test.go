package answer_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"fathomlux/render/answer"
)

// sample has a part of each kind, values of each kind, and texts that try what a text can try.
func sample() answer.Answer {
	rails := answer.Table{Key: "rails", Columns: []answer.Column{
		{Key: "name", Title: "rail"},
		{Key: "hottest_c", Title: "hottest", Unit: "°C", Digits: 1},
		{Key: "power_w", Title: "heat", Unit: "W", Digits: 2},
		{Key: "may_touch"},
		{Title: "remark", In: answer.People},
	}, Rows: [][]any{
		{"=main", 41.26, 3.0, true, "cool"},
		{"a, \"b\"", math.NaN(), nil, false, ""},
	}}
	return answer.Answer{
		answer.Figure{Key: "scene", Value: "tank.yaml"},
		answer.Figure{Key: "load_w", Title: "load in operation", Unit: "W", Digits: 1, Value: 29.06},
		answer.Figure{Key: "strings", Title: "strings", Value: 2},
		answer.Figure{Title: "tilt", Unit: "°", Digits: 1, Value: 2.5},
		answer.Figure{Title: "from left", Unit: "mm", Digits: 1, Value: []float64{20, 40.25}},
		answer.Figure{Key: "hood_c", Title: "air in the hood", Unit: "°C", Value: nil},
		rails,
		answer.Groups{Key: "groups", List: []answer.Group{
			{Title: "one", Parts: answer.Answer{answer.Figure{Key: "n", Title: "modules", Value: 1}}},
			{Title: "two", Parts: answer.Answer{answer.Figure{Key: "n", Title: "modules", Value: 2}}},
		}},
		answer.Group{Key: "goal", Parts: answer.Answer{answer.Figure{Key: "missing", Value: []string(nil)}}, In: answer.JSON},
		answer.Lines{Key: "notes", Lead: "note", List: []string{"a < b"}},
		answer.Lines{Lead: "nothing"},
	}
}

func TestText(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	if err := answer.WriteText(&b, sample()); err != nil {
		t.Fatal(err)
	}
	want := `  load in operation  29.1 W
  strings            2
  tilt               2.5°
  from left          20.0, 40.2 mm
  air in the hood    -
  rail    hottest °C  heat W  remark
  =main         41.3    3.00  cool
  a, "b"           -       -
one
  modules  1
two
  modules  2
note: a < b
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

func TestJSON(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	if err := answer.WriteJSON(&b, sample()); err != nil {
		t.Fatal(err)
	}
	var got any
	if err := json.Unmarshal([]byte(b.String()), &got); err != nil {
		t.Fatalf("%v in\n%s", err, b.String())
	}
	want := map[string]any{
		"scene": "tank.yaml", "load_w": 29.06, "strings": 2.0, "hood_c": nil,
		"rails": []any{
			map[string]any{"name": "=main", "hottest_c": 41.26, "power_w": 3.0, "may_touch": true},
			map[string]any{"name": `a, "b"`, "hottest_c": nil, "power_w": nil, "may_touch": false},
		},
		"groups": []any{map[string]any{"n": 1.0}, map[string]any{"n": 2.0}},
		"goal":   map[string]any{"missing": []any{}},
		"notes":  []any{"a < b"},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got\n%v\nwant\n%v", got, want)
	}
	if keys := strings.Index(b.String(), "load_w"); keys > strings.Index(b.String(), "rails") || !strings.Contains(b.String(), "a < b") {
		t.Errorf("keys are not in the order of the parts, or < is escaped:\n%s", b.String())
	}
}

// A reader of RFC 4180 gets every cell back, and none begins with what a spreadsheet runs.
func TestCSV(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	if err := answer.WriteCSV(&b, sample()[6].(answer.Table)); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	want := [][]string{{"name", "hottest_c", "power_w", "may_touch"}, {"'=main", "41.26", "3", "true"}, {`a, "b"`, "", "", "false"}}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %v (%v), want %v", got, err, want)
	}
}

func TestPageHeads(t *testing.T) {
	t.Parallel()
	table := sample()[6].(answer.Table)
	if got, want := table.Head(answer.Page), []string{"rail", "hottest, °C", "heat, W", "remark"}; !reflect.DeepEqual(got, want) {
		t.Errorf("head %v, want %v", got, want)
	}
	if got := table.Cells(answer.Page)[1]; !reflect.DeepEqual(got, []string{`a, "b"`, "-", "-", ""}) {
		t.Errorf("cells %v", got)
	}
}

func TestNumbersHaveNoNegativeZero(t *testing.T) {
	t.Parallel()
	for v, want := range map[float64]string{-0.04: "0.0", -0.06: "-0.1", math.Inf(1): "-", 1234.5: "1234.5"} {
		if got := answer.Number(v, 1); got != want {
			t.Errorf("Number(%v) = %q, want %q", v, got, want)
		}
	}
}

func TestKeysThatComeTwicePanic(t *testing.T) {
	t.Parallel()
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	_ = answer.WriteJSON(&strings.Builder{}, answer.Answer{answer.Figure{Key: "a"}, answer.Lines{Key: "a"}})
}

// Records become rows, and a figure says its number as it is told to.
func TestRows(t *testing.T) {
	t.Parallel()
	inches := func(mm float64) string { return answer.Number(mm/25.4, 1) }
	record := func(name string, mm float64) answer.Answer {
		return answer.Answer{answer.Figure{Key: "name", Value: name},
			answer.Figure{Key: "depth_mm", Title: "depth", Unit: "in", Say: inches, Value: mm}}
	}
	table := answer.Rows("planes", "Planes", record("mid", 127), record("floor", 254), record("none", math.NaN()))
	if got := table.Cells(answer.Text); !reflect.DeepEqual(got, [][]string{{"5.0"}, {"10.0"}, {"-"}}) {
		t.Errorf("cells %v", got)
	}
	var b strings.Builder
	if err := answer.WriteCSV(&b, table); err != nil || b.String() != "name,depth_mm\nmid,127\nfloor,254\nnone,\n" {
		t.Errorf("%q, %v", b.String(), err)
	}
	if empty := answer.Rows("planes", "Planes"); len(empty.Rows) != 0 || empty.Key != "planes" {
		t.Errorf("%+v", empty)
	}
}
