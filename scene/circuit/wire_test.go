package circuit

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// TestGauges: 0.5, 0.75, 1.0, 1.5 and 2.5 mm2 of IEC 60228 behind three thinner ones of common practice, and american
// gauges by ASTM B258, where AWG 36 is 0.127 mm and AWG 0000 is 11.684 mm by definition: AWG 18 is 1.024 mm, 0.823 mm2.
func TestGauges(t *testing.T) {
	var names []string
	last := 0.0
	for _, g := range gauges[0] {
		if g.AreaM2 <= last {
			t.Errorf("%s is not thicker than the one before", g.Name)
		}
		names, last = append(names, g.Name), g.AreaM2
	}
	if got := strings.Join(names, ", "); got != "0.14 mm², 0.25 mm², 0.34 mm², 0.5 mm², 0.75 mm², 1 mm², 1.5 mm², 2.5 mm²" {
		t.Errorf("metric sizes %s", got)
	}
	american := gauges[1]
	if len(american) != 8 || american[0].Name != "AWG 28" || american[7].Name != "AWG 14" {
		t.Errorf("American sizes %v", american)
	}
	for n, mm := range map[int]float64{36: 0.127, -3: 11.684, 18: 1.024} {
		if d := 2 * math.Sqrt(areaAWG(n)/math.Pi) * 1000; !near(d, mm, 5e-4) { // last digit printed
			t.Errorf("AWG %d is %g mm, want %g mm", n, d, mm)
		}
	}
}

// TestResistance: 1/58 ohm of 1 m and 1 mm2 at 20 C, 0.393 % a kelvin. Source: IEC 60028.
func TestResistance(t *testing.T) {
	mm2 := Gauge{AreaM2: 1e-6}
	if got := mm2.ohmPerM(20); !near(got, 1./58, 5e-6) { // 1.724e-8 is rounded to its last digit
		t.Errorf("%g ohm/m, want 1/58", got)
	}
	if got := mm2.ohmPerM(30) / mm2.ohmPerM(20); !near(got, 1.0393, 1e-12) {
		t.Errorf("10 K warmer: %g times, want 1.0393", got)
	}
}

// TestWiresOfTheFoyer: modules at 100, 280, ... 1000 mm, a lead of 2 m. String 1 ends at 820 mm, string 2 at 1000 mm from
// the left; out and back 5.64 m and 6.00 m, from the right end 1000 mm and 820 mm.
func TestWiresOfTheFoyer(t *testing.T) {
	c := wiredAs(t, 2, "cc-700")
	for _, right := range []bool{false, true} {
		job := foyerJob()
		job.Feed.Right = right
		job.Given.CopperC = 20
		c := c
		if right {
			for i := range c.Strings {
				c.Strings[i] = slices.Clone(c.Strings[i])
				slices.Reverse(c.Strings[i])
			}
		}
		all := wires(job, c, share(c.Strings, c.DriverA))
		if len(all) != 2 {
			t.Fatal(len(all))
		}
		want := []float64{5.64, 6.00}
		if right {
			want = []float64{6.00, 5.64}
		}
		for i, w := range all {
			if !near(w.LengthM, want[i], 1e-9) {
				t.Errorf("fed from the right is %v: string %d has %g m, want %g m", right, i, w.LengthM, want[i])
			}
		}
		// 0.5 mm2: 1.724e-8 x 6 / 0.5e-6 x 0.35 = 72.4 mV, 0.17 % of 42 V
		w := all[0]
		if !right {
			w = all[1]
		}
		if d := w.Advised[0]; d.Gauge.Name != "0.5 mm²" || !near(d.DropV, 0.072408, 1e-6) || !near(d.Share, 0.072408/42, 1e-6) {
			t.Errorf("0.5 mm2: %+v", d)
		}
		if w.Thinnest[0].Gauge.Name != "0.14 mm²" || w.Thinnest[1].Gauge.Name != "AWG 28" || w.Advice() != "0.5 mm² or AWG 20" {
			t.Errorf("on a short way the thinnest serve: %+v", w)
		}
	}
}

// TestLongLead: 50 m of lead, 102 m of copper: 42 V x 2 % = 0.84 V at 350 mA are 2.4 ohm, so that 0.73 mm2 at 20 C would
// just do: 0.75 mm2 or AWG 18 (0.823 mm2). 500 m leave nothing that serves.
func TestLongLead(t *testing.T) {
	job := foyerJob()
	job.Feed.LeadM, job.Given.CopperC = 50, 20
	c := wiredAs(t, 2, "cc-700")
	all := wires(job, c, share(c.Strings, c.DriverA))
	if w := all[1]; w.Thinnest != w.Advised || w.Advice() != "0.75 mm² or AWG 18" {
		t.Errorf("%+v, want 0.75 mm² and AWG 18", w)
	}
	job.Feed.LeadM = 500
	if w := wires(job, c, share(c.Strings, c.DriverA))[1]; w.Thinnest != [2]Drop{} || w.Advice() != "" {
		t.Errorf("500 m: %+v; want none", w)
	}
}

// TestWireOverTwoRails: a string with modules at 0.8 m on the first rail and 0.4 m on the second goes out and back on
// both, and from the first rail to the second.
func TestWireOverTwoRails(t *testing.T) {
	job := foyerJob()
	line := modules(3, "quad-neutral")
	line[0].AlongM, line[1].AlongM, line[2].AlongM, line[2].Rail = 0.3, 0.8, 0.4, 1
	if got := wireLengthM(job, line); !near(got, 2*(2+0.5+0.8+0.4), 1e-12) {
		t.Errorf("%g m, want 7.4 m", got)
	}
}

// TestLinksAddUpToTheWire: plus lead, links and minus lead of a string over two rails, fed from either end, by hand and in sum. Rails of
// 1.1 m, modules at 0.1, 0.46 and on the other rail at 0.28 m; 2 m of lead, 0.5 m from rail to rail. From the left: 2.1, 0.36, 0.46 + 0.5
// + 0.28 = 1.24, and back 2 + 0.5 + 0.28 = 2.78. From the right the current meets the module at 0.46 m first: 2.64, 0.36, 1 + 0.5 + 0.82 = 2.32, 3.32.
func TestLinksAddUpToTheWire(t *testing.T) {
	for right, want := range map[bool][]float64{false: {2.1, 0.36, 1.24, 2.78}, true: {2.64, 0.36, 2.32, 3.32}} {
		job := foyerJob()
		job.RailLengthsM, job.Feed.Right = []float64{1.1, 1.1}, right
		line := modules(3, "quad-neutral")
		line[0].AlongM, line[1].AlongM, line[2].AlongM, line[2].Rail = 0.1, 0.46, 0.28, 1
		if right {
			line[0], line[1] = line[1], line[0]
		}
		sum := 0.0
		for i, l := range Links(job, line) {
			if sum += l.LengthM; !near(l.LengthM, want[i], 1e-12) {
				t.Errorf("right %v: link %d has %g m, want %g", right, i, l.LengthM, want[i])
			}
		}
		if !near(sum, wireLengthM(job, line), 1e-12) {
			t.Errorf("right %v: %g m in sum, %g m of wire", right, sum, wireLengthM(job, line))
		}
	}
}
