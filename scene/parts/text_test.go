package parts

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/unit"
)

// TestPartsAsText: every built-in part, and one of each kind with all that it may have, is the same part when its text is read.
func TestPartsAsText(t *testing.T) {
	t.Parallel()
	lib, report := readText(t, `
modules:
  full: {based_on: quad-neutral, parallel: 2, mass: 7 g, case_resistance: 1.5 K/W, price: 3.2 CHF, maintenance: [{case: 55 C, alpha: 1.684e-6, b: 0.9639, tested: 10000 h}]}
  odd: {based_on: quad-blue, spectrum: own}
optics:
  full: {based_on: round-40, beam_across: 25 deg, field: 70 deg, field_across: 50 deg, stray: 0.04, mass: 2 g, price: 1 EUR, about: "a: b"}
profiles:
  full: {based_on: bar-40x20, wall: 3 mm, fins: {count: 3, thickness: 2 mm}, material: stainless steel, stock: [1 m, 2.5 m]}
spectra:
  own: {band: {peak: 460 nm, width: 25 nm}}
`)
	if err := report.Err(); err != nil {
		t.Fatal(err)
	}
	for kind, names := range map[string][]string{"modules": Names(lib.Modules), "optics": Names(lib.Optics), "drivers": Names(lib.Drivers), "profiles": Names(lib.Profiles),
		"spectra": Names(lib.Spectra), "waters": Names(lib.Waters)} {
		for _, name := range names {
			text := lib.Text(kind, name)
			again, report := readText(t, text)
			if err := report.Err(); err != nil {
				t.Errorf("%s %s: %v\n%.400s", kind, name, err, text)
				continue
			}
			is, was := partOf(again, kind, name), partOf(lib, kind, name)
			for i := range was.NumField() {
				if field := was.Type().Field(i).Name; field != "BeamOf" && !alike(was.Field(i), is.Field(i)) {
					t.Errorf("%s %s: %s is %v, was %v\n%.300s", kind, name, field, is.Field(i), was.Field(i), text)
				}
			}
			if strings.Contains(text, "based_on") {
				t.Errorf("%s", text)
			}
		}
	}
}

func partOf(l *Catalogue, kind, name string) reflect.Value {
	return reflect.ValueOf(l).Elem().FieldByName(unit.Capital(kind)).MapIndex(reflect.ValueOf(name))
}

// alike compares numbers to eight digits, and curves at their points, to which nothing below a billionth counts.
func alike(a, b reflect.Value) bool {
	near := func(x, y float64) bool { return math.Abs(x-y) <= 1e-8*math.Max(math.Abs(x), 1e-9)+1e-15 }
	switch {
	case a.CanFloat():
		return near(a.Float(), b.Float())
	case a.Type() == reflect.TypeFor[curve.Curve]():
		x, y := a.Interface().(curve.Curve).Points()
		other := b.Interface().(curve.Curve)
		for i := range x {
			if math.Abs(y[i]-other.AtOrZero(x[i])) > 1e-8*(math.Abs(y[i])+0.1) {
				return false
			}
		}
		return true
	case a.Kind() == reflect.Slice:
		same := a.Len() == b.Len()
		for i := 0; same && i < a.Len(); i++ {
			same = alike(a.Index(i), b.Index(i))
		}
		return same
	case a.Kind() == reflect.Struct:
		same := true
		for i := range a.NumField() {
			same = same && alike(a.Field(i), b.Field(i))
		}
		return same
	}
	return a.Interface() == b.Interface()
}
