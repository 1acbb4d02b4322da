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
	p, err := Design(job)
	if err != nil {
		t.Fatal(err)
	}
	return p.Circuit
}

// TestOpenCircuitOfOneString: of N equal strings on a constant current the others get N/(N-1): 200 % of two, 150 % of three.
// Source: circuit laws (H2).
func TestOpenCircuitOfOneString(t *testing.T) {
	for _, c := range []struct {
		strings int
		driver  string
		want    float64
	}{{2, "cc-700", 2}, {3, "cc-1050", 1.5}} {
		for dead := range c.strings {
			f := wiredAs(t, c.strings, c.driver).open(dead)
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
	f := c.open(0)
	if !slices.Equal(f.Over, []int{1}) {
		t.Errorf("700 mA through a module for 650 mA: %v", f.Over)
	}
	// three modules of four dies at 700 mA: 12 x 3.69 V = 44.28 V, 31 W
	want := []string{"44.3 V is above the driver's maximum of 44.0 V: it gives less than its current", "31.0 W is above the driver's rated 30.0 W"}
	if !slices.Equal(words(f.Notes...), want) || !near(f.LoadW, 12*3.69*0.7, 1e-5) {
		t.Errorf("%q, %g W; want %q", words(f.Notes...), f.LoadW, want)
	}
}

func TestOpenCircuitOfTheOnlyString(t *testing.T) {
	c := wiredAs(t, 1, "")
	f := c.open(0)
	if f.Sharing.CurrentA[0] != 0 || !slices.Equal(words(f.Notes...), []string{"all modules are dark"}) {
		t.Errorf("%+v", f)
	}
	c.Driver.HighestV = 86
	if f = c.open(0); f.Sharing.VoltageV != 86 || !slices.Equal(words(f.Notes...), []string{"all modules are dark", "the driver's output rises to as much as 86.0 V"}) {
		t.Errorf("%+v", f)
	}
}

// TestShortByHand: V = 30 + 10 I twice in each of two strings, one bridged: 30 + 10 I beside 60 + 20 I. The first takes
// all 700 mA, at 37 V, as the other begins to conduct at 60 V.
func TestShortByHand(t *testing.T) {
	c := Circuit{Strings: [][]parts.Mounted{{line(t, 30, 10), line(t, 30, 10)}, {line(t, 30, 10), line(t, 30, 10)}}, DriverA: 0.7}
	c.Driver.LowestV, c.Driver.HighestV = 40, 80
	f := c.short(1, 0)
	if !near(f.Sharing.CurrentA[1], 0.7, 1e-9) || f.Sharing.CurrentA[0] != 0 || !near(f.Sharing.VoltageV, 37, 1e-5) {
		t.Errorf("%+v; want all 700 mA at 37 V", f.Sharing)
	}
	want := []string{"string 1 gets little or no current", "37.0 V is below the driver's minimum of 40.0 V: it may shut down or flicker"}
	if !slices.Equal(f.Over, []int{1}) || !slices.Equal(words(f.Notes...), want) { // the modules may carry 500 mA
		t.Errorf("over %v, notes %q; want string 1 over and %q", f.Over, words(f.Notes...), want)
	}
	// Of ten modules in a string, one bridged: 27 + 9 I beside 30 + 10 I with 700 mA: 19 I = 3 + 7, I = 526.3 mA.
	long := Circuit{DriverA: 0.7, Strings: [][]parts.Mounted{nil, nil}}
	for i := range 20 {
		long.Strings[i%2] = append(long.Strings[i%2], line(t, 3, 1))
	}
	if f = long.short(0, 9); !near(f.Sharing.CurrentA[0], 10./19, 1e-6) {
		t.Errorf("one of ten bridged: %v; want 526.3 mA", f.Sharing.CurrentA)
	}
}

func TestShortOfTheOnlyModule(t *testing.T) {
	f := wiredAs(t, 6, "").short(2, 0)
	if !near(f.Sharing.CurrentA[2], 2.1, 1e-12) || !strings.Contains(words(f.Notes...)[0], "the driver is shorted") {
		t.Errorf("%+v", f)
	}
}

func TestShortCircuitTakesCurrent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, long := rapid.IntRange(2, 4).Draw(t, "strings"), rapid.IntRange(2, 8).Draw(t, "modules")
		c := Circuit{DriverA: quadA * float64(n)}
		for range n {
			c.Strings = append(c.Strings, modules(long, "quad-neutral"))
		}
		f := c.short(0, rapid.IntRange(0, long-1).Draw(t, "module"))
		for i, a := range f.Sharing.CurrentA[1:] {
			if a >= quadA || f.Sharing.CurrentA[0] <= quadA {
				t.Errorf("the short string carries %g A, string %d %g A", f.Sharing.CurrentA[0], i+1, a)
			}
		}
		if f.Sharing.Beyond[0] != slices.ContainsFunc(words(f.Notes...), func(s string) bool { return strings.HasPrefix(s, "string 1 is beyond") }) {
			t.Errorf("beyond is %v, notes %q", f.Sharing.Beyond[0], words(f.Notes...))
		}
	})
}

// TestWorstByHand: V = 30 + 10 I in two strings, 33.5 V at 350 mA, with 0.5 V up or down: 29.5 + 10 I beside 30.5 + 10 I.
// I1 - I2 = 1/10 A: 400 mA, 300 mA, 33.5 V.
func TestWorstByHand(t *testing.T) {
	c := Circuit{Strings: [][]parts.Mounted{{line(t, 30, 10)}, {line(t, 30, 10)}}, DriverA: 0.7}
	const joint = 1e-6 // what a joint of 1 microohm moves
	s := c.spread(0.5/33.5, 1, 1)
	if low, high := s.Sharing.Range(); !near(high, 0.4, joint) || !near(low, 0.3, joint) || !near(s.HighestShare, 0.4/0.35, 2*joint) || len(s.Over) > 0 {
		t.Errorf("%+v; want 400 mA, 300 mA", s)
	}
	if s = c.spread(2/33.5, 1, 1); len(s.Over) != 1 { // 550 mA, and the modules may carry 500 mA
		t.Errorf("550 mA through modules for 500 mA: %+v", s)
	}
}

func TestLikelyIsNarrower(t *testing.T) {
	c, tolerance := wiredAs(t, 2, "cc-700"), Usual(24).ForwardShare
	worst := c.spread(tolerance, 1, 1)
	likely := c.spread(tolerance, likelyShare(3), 0)
	// 2/sqrt(3 x 3) for three modules a string: two thirds of what shifts the first string alone
	if by := c.spread(tolerance, 2./3, 0); likely.HighestShare != by.HighestShare || !(1 < likely.HighestShare && likely.HighestShare < worst.HighestShare) {
		t.Errorf("likely %+v, two thirds of the tolerance give %+v, worst %g", likely, by, worst.HighestShare)
	}
	single := wiredAs(t, 6, "") // 2/sqrt(3) is more than the tolerance itself
	if alone, by := single.spread(tolerance, likelyShare(1), 0), single.spread(tolerance, 1, 0); alone.HighestShare != by.HighestShare {
		t.Errorf("one module a string: %+v, want %+v", alone, by)
	}
	if none := c.spread(0, 1, 1); !near(none.HighestShare, 1, 1e-9) {
		t.Errorf("no tolerance: %+v", none)
	}
}
