package circuit

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/parts"
)

// wiredAs returns the circuit of the foyer's modules in a number of strings on a driver.
func wiredAs(t *testing.T, strings int, driver string) Circuit {
	t.Helper()
	job := foyerJob()
	job.Request = Request{Strings: strings, Driver: driver}
	all := mustSplits(t, job)
	pick, err := choose(job, all)
	if err != nil {
		t.Fatal(err)
	}
	return wired(job, all, pick)
}

// TestOneStringOpens: of N equal strings on a constant current the others get N/(N-1): 200 % of two, 150 % of three.
// Source: circuit laws (H2).
func TestOneStringOpens(t *testing.T) {
	for _, c := range []struct {
		strings int
		driver  string
		want    float64
	}{{2, "cc-700", 2}, {3, "cc-1050", 1.5}} {
		for dead := range c.strings {
			f := wiredAs(t, c.strings, c.driver).Open(dead)
			if !near(f.HighestShare, c.want, 1e-9) || f.Sharing.CurrentA[dead] != 0 || f.String != dead || f.Module != -1 {
				t.Errorf("string %d of %d: %+v; want %g of the current in the others", dead, c.strings, f, c.want)
			}
			if len(f.Over) != 0 { // 700 mA at most, and the modules may carry 1 A
				t.Errorf("string %d of %d: over the highest current: %v", dead, c.strings, f.Over)
			}
		}
	}
}

func TestOpenOverTheHighestCurrent(t *testing.T) {
	c := wiredAs(t, 2, "cc-700")
	c.Strings[1][2].Part.HighestA = 0.65
	c.Driver.HighestV, c.Driver.RatedW = 44, 30
	f := c.Open(0)
	if !slices.Equal(f.Over, []int{1}) {
		t.Errorf("700 mA through a module for 650 mA: %v", f.Over)
	}
	// three modules of four dies at 700 mA: 12 x 3.69 V = 44.28 V, 31 W
	want := []string{"44.3 V are above the driver's highest 44 V: it gives less than its current", "31 W are above the driver's rated 30 W"}
	if !slices.Equal(f.Notes, want) || !near(f.LoadW, 12*3.69*0.7, 1e-5) {
		t.Errorf("%q, %g W; want %q", f.Notes, f.LoadW, want)
	}
}

func TestTheOnlyStringOpens(t *testing.T) {
	c := wiredAs(t, 1, "")
	f := c.Open(0)
	if f.Sharing.CurrentA[0] != 0 || !slices.Equal(f.Notes, []string{"all modules are dark"}) {
		t.Errorf("%+v", f)
	}
	c.Driver.HighestV = 86
	if f = c.Open(0); f.Sharing.VoltageV != 86 || f.Notes[0] != "all modules are dark; the driver rises to as much as 86 V" {
		t.Errorf("%+v", f)
	}
}

// TestShortByHand: V = 30 + 10 I twice in each of two strings, one bridged: 30 + 10 I beside 60 + 20 I. The first takes
// all 700 mA, at 37 V, as the other begins to conduct at 60 V.
func TestShortByHand(t *testing.T) {
	c := Circuit{Strings: [][]parts.Mounted{{line(t, 30, 10), line(t, 30, 10)}, {line(t, 30, 10), line(t, 30, 10)}}, DriverA: 0.7}
	c.Driver.LowestV, c.Driver.HighestV = 40, 80
	f := c.Short(1, 0)
	if !near(f.Sharing.CurrentA[1], 0.7, 1e-9) || f.Sharing.CurrentA[0] != 0 || !near(f.Sharing.VoltageV, 37, 1e-5) {
		t.Errorf("%+v; want all 700 mA at 37 V", f.Sharing)
	}
	want := []string{"string 1 gets no current, or next to none", "37 V are below the driver's lowest 40 V: it may shut down or flicker"}
	if !slices.Equal(f.Over, []int{1}) || !slices.Equal(f.Notes, want) { // the modules may carry 500 mA
		t.Errorf("over %v, notes %q; want string 1 over and %q", f.Over, f.Notes, want)
	}
	// Of ten modules in a string, one bridged: 27 + 9 I beside 30 + 10 I with 700 mA: 19 I = 3 + 7, I = 526.3 mA.
	long := Circuit{DriverA: 0.7, Strings: [][]parts.Mounted{nil, nil}}
	for i := range 20 {
		long.Strings[i%2] = append(long.Strings[i%2], line(t, 3, 1))
	}
	if f = long.Short(0, 9); !near(f.Sharing.CurrentA[0], 10./19, 1e-6) {
		t.Errorf("one of ten bridged: %v; want 526.3 mA", f.Sharing.CurrentA)
	}
}

func TestShortOfTheOnlyModule(t *testing.T) {
	f := wiredAs(t, 6, "").Short(2, 0)
	if !near(f.Sharing.CurrentA[2], 2.1, 1e-12) || !strings.Contains(f.Notes[0], "the driver is shorted") {
		t.Errorf("%+v", f)
	}
}

func TestShortHogs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, long := rapid.IntRange(2, 4).Draw(t, "strings"), rapid.IntRange(2, 8).Draw(t, "modules")
		c := Circuit{DriverA: quadA * float64(n)}
		for range n {
			c.Strings = append(c.Strings, modules(long, "quad-neutral"))
		}
		f := c.Short(0, rapid.IntRange(0, long-1).Draw(t, "module"))
		for i, a := range f.Sharing.CurrentA[1:] {
			if a >= quadA || f.Sharing.CurrentA[0] <= quadA {
				t.Errorf("the short string carries %g A, string %d %g A", f.Sharing.CurrentA[0], i+1, a)
			}
		}
		if f.Sharing.Beyond[0] != slices.ContainsFunc(f.Notes, func(s string) bool { return strings.HasPrefix(s, "string 1 is beyond") }) {
			t.Errorf("beyond is %v, notes %q", f.Sharing.Beyond[0], f.Notes)
		}
	})
}

// TestWorstByHand: V = 30 + 10 I in two strings, 33.5 V at 350 mA, with 0.5 V up or down: 29.5 + 10 I beside 30.5 + 10 I.
// I1 - I2 = 1/10 A: 400 mA, 300 mA, 33.5 V.
func TestWorstByHand(t *testing.T) {
	c := Circuit{Strings: [][]parts.Mounted{{line(t, 30, 10)}, {line(t, 30, 10)}}, DriverA: 0.7}
	for name, tolerance := range map[string]Tolerance{"volts": {Volts: 0.5}, "share": {Share: 0.5 / 33.5}, "both": {Volts: 0.25, Share: 0.25 / 33.5}} {
		s := c.worst(tolerance)
		const joint = 1e-6 // what a joint of 1 microohm moves
		if !near(s.HighestA, 0.4, joint) || !near(s.LowestA, 0.3, joint) || !near(s.HighestShare, 0.4/0.35, 2*joint) || s.Over {
			t.Errorf("%s: %+v; want 400 mA, 300 mA", name, s)
		}
	}
	s := c.worst(Tolerance{Volts: 2}) // 550 mA, and the modules may carry 500 mA
	if !s.Over {
		t.Errorf("550 mA through modules for 500 mA: %+v", s)
	}
}

func TestLikelyIsNarrower(t *testing.T) {
	c, tolerance := wiredAs(t, 2, "cc-700"), Usual(24).Forward
	worst := c.worst(tolerance)
	likely := c.likely(tolerance)
	// 2/sqrt(3 x 3) for three modules a string: two thirds of what shifts the first string alone
	if by := c.spread(tolerance, 2./3, 0); likely.HighestA != by.HighestA || !(1 < likely.HighestShare && likely.HighestShare < worst.HighestShare) {
		t.Errorf("likely %+v, two thirds of the tolerance give %+v, worst %g", likely, by, worst.HighestShare)
	}
	single := wiredAs(t, 6, "") // 2/sqrt(3) is more than the tolerance itself
	if alone, by := single.likely(tolerance), single.spread(tolerance, 1, 0); alone.HighestA != by.HighestA {
		t.Errorf("one module a string: %+v, want %+v", alone, by)
	}
	if none := c.worst(Tolerance{}); !near(none.HighestShare, 1, 1e-9) {
		t.Errorf("no tolerance: %+v", none)
	}
}
