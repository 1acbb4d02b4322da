package lm63

import (
	"math"
)

// body reads the numbers: tilt pairs, the thirteen, the angles and the candela.
func (r *reader) body() {
	if r.file.Tilt.Kind == TiltInclude {
		r.tiltPairs()
	}
	f := r.file
	f.Lamps = r.integer("the number of lamps (field 1)", 1, 1_000_000)
	f.LumensPerLamp = r.lumens()
	f.Multiplier = r.positive("the multiplier (field 3)")
	vertical := r.peek()
	nv := r.integer("the number of vertical angles (field 4)", 2, MaxValues)
	nh := r.integer("the number of horizontal angles (field 5)", 1, MaxValues)
	kind := r.peek()
	photometry := r.integer("the photometric type (field 6: 1 for C, 2 for B, 3 for A)", 1, 3)
	r.opening()
	if r.ended || nv == 0 || nh == 0 {
		r.blameCommas()
		return
	}
	if nv > MaxValues/nh || nv+nh > MaxValues {
		r.faultf(vertical, "%d by %d angles are more than the limit of %d values", nv, nh, MaxValues)
		return
	}
	r.optics(nv, nh)
	angles := r.at
	f.Vertical, f.Horizontal = r.list("vertical angle", nv), r.list("horizontal angle", nh)
	if !r.ended && !r.bad {
		r.checkAngles(kind, photometry, r.tokens[angles:angles+nv], r.tokens[angles+nv:angles+nv+nh])
	}
	r.candela(nv, nh)
	if len(r.report.Faults) == 0 {
		r.checkLight(r.tokens[angles+nv-1].place)
	}
}

// peek returns the place of the next number.
func (r *reader) peek() place {
	if r.at < len(r.tokens) {
		return r.tokens[r.at].place
	}
	return place{}
}

// next returns the next number; ok is false for one that was complained about, or where there is none.
func (r *reader) next(what string) (t token, ok bool) {
	if r.at >= len(r.tokens) {
		if !r.ended && !r.bad {
			r.faultf(place{len(r.lines), 1}, "the file ends where %s is due", what)
		}
		r.ended = true
		return token{}, false
	}
	t = r.tokens[r.at]
	r.at++
	return t, !t.bad
}

// integer reads a whole number from low to high, 0 where there is a fault. It may be written as 19.0.
func (r *reader) integer(what string, low, high int) int {
	t, ok := r.next(what)
	if !ok {
		return 0
	}
	if t.value != math.Trunc(t.value) || t.value < float64(low) || t.value > float64(high) {
		r.faultf(t.place, "%s is %s; a whole number from %d to %d serves", what, brief(t.text), low, high)
		return 0
	}
	return int(t.value)
}

// The range of a factor: wider than any that makes sense.
const (
	smallestFactor = 1e-6
	largestFactor  = 1e6
)

// positive reads a factor, 1 where there is a fault.
func (r *reader) positive(what string) float64 {
	t, ok := r.next(what)
	if ok && !(t.value >= smallestFactor && t.value <= largestFactor) {
		r.faultf(t.place, "%s is %s; a factor from %g to %g serves, mostly 1", what, brief(t.text), smallestFactor,
			largestFactor)
		ok = false
	}
	if !ok {
		return 1
	}
	return t.value
}

func (r *reader) lumens() float64 {
	t, ok := r.next("the lumens of one lamp (field 2)")
	if ok && t.value <= 0 && t.value != -1 {
		r.warnf(t.place, "%s lumens of one lamp (field 2) say nothing; -1 stands for absolute photometry", brief(t.text))
	}
	return t.value
}

// opening reads units, width, length and height.
func (r *reader) opening() {
	f := r.file
	f.Units = Units(r.integer("the units (field 7: 1 for feet, 2 for metres)", 1, 2))
	for _, d := range []struct {
		name string
		to   *float64
	}{{"the width of the opening (field 8)", &f.WidthM}, {"the length of the opening (field 9)",
		&f.LengthM}, {"the height of the opening (field 10)", &f.HeightM}} {
		t, ok := r.next(d.name)
		if *d.to = t.value * f.Units.metresPer(); ok && math.Abs(*d.to) > largeOpeningM && f.Units != 0 {
			r.warnf(t.place, "%s is %.3g m; feet and metres (field 7) may be mistaken", d.name, math.Abs(*d.to))
		}
	}
}

// largeOpeningM is a size above which units are more likely mistaken than right. Common practice, no published source.
const largeOpeningM = 3

// optics reads ballast factor, field 12 and input watts. Where field 12 is left out, which shows in the vertical angles
// beginning one number early and the file being one number short, it says so.
func (r *reader) optics(nv, nh int) {
	f := r.file
	if !r.bad && len(r.tokens)-r.at == 2+nv+nh+nv*nh && rises(r.tokens[r.at+2:r.at+2+nv]) &&
		!rises(r.tokens[r.at+3:r.at+3+nv]) {
		r.faultf(r.peek(), "two numbers only stand before the angles: field 12 is missing; write ballast factor, 1 and "+
			"input watts")
		r.at += 2
		return
	}
	f.BallastFactor = r.positive("the ballast factor (field 11)")
	at := r.peek()
	if f.Revision <= Revision1991 {
		f.Field12 = r.positive("the ballast-lamp photometric factor (field 12)")
	} else {
		t, ok := r.next("field 12")
		f.Field12 = t.value
		r.checkField12(at, ok)
	}
	t, ok := r.next("the input watts (field 13)")
	if f.InputWatts = t.value; ok && t.value < 0 {
		r.warnf(t.place, "%s input watts (field 13) cannot be", brief(t.text))
	}
}

// rises tells whether the numbers rise strictly.
func rises(tokens []token) bool {
	for i := 1; i < len(tokens); i++ {
		if !(tokens[i].value > tokens[i-1].value) {
			return false
		}
	}
	return true
}

// checkField12 warns about a field 12 that is not what the later revisions put there: 1 in 1995 and 2002, and in 2019
// the code of how the file was made, 1.cssij with c for accredited, s for scaled, i for interpolated, and 1.00001 or
// 1.00010.
func (r *reader) checkField12(at place, ok bool) {
	f := r.file
	switch {
	case !ok:
	case f.Revision == Revision2019 && (f.Field12 < 1 || f.Field12 >= 1.2):
		r.warnf(at, "field 12 is %g, which is no file generation type of 2019 (1.00000 to 1.11100); it multiplies nothing",
			f.Field12)
	case f.Revision != Revision2019 && f.Field12 != 1:
		r.warnf(at, "field 12 is %g where the revision of %d has 1; it multiplies nothing", f.Field12, f.Revision)
	}
}

// tiltPairs reads the table of TILT=INCLUDE.
func (r *reader) tiltPairs() {
	t := &r.file.Tilt
	t.Geometry = r.integer("the lamp's geometry behind TILT=INCLUDE", 1, 3)
	n := r.integer("the number of tilt angles", 1, MaxTiltPairs)
	if n == 0 {
		r.bad = true // nothing says where the lamps begin
		r.at = len(r.tokens)
		return
	}
	t.AngleDeg, t.Factor = r.list("tilt angle", n), r.list("tilt factor", n)
}

// list reads n numbers.
func (r *reader) list(what string, n int) []float64 {
	values := make([]float64, 0, min(n, len(r.tokens)-r.at))
	for range n {
		t, _ := r.next("a " + what)
		if r.ended {
			break
		}
		values = append(values, t.value)
	}
	return values
}

// candela reads the intensities and says where there are too few or too many of them.
func (r *reader) candela(nv, nh int) {
	want, found := nv*nh, len(r.tokens)-r.at
	if r.ended || r.bad {
		return
	}
	if found < want {
		r.faultf(place{len(r.lines), 1}, "the file ends early: expected %d candela values (%d horizontal by %d vertical "+
			"angles), found %d", want, nh, nv, found)
		r.blameCommas()
		return
	}
	values := r.tokens[r.at : r.at+want]
	if extra := r.tokens[r.at+want:]; len(extra) > 0 {
		r.checkExtra(extra, want)
	}
	floor, clipped := negligibleShare*peakOf(values), 0
	for h := range nh {
		row := make([]float64, nv)
		for v := range row {
			t := values[h*nv+v]
			switch {
			case t.value >= 0:
				row[v] = t.value * r.file.factor()
			case -t.value <= floor:
				clipped++
			default:
				r.faultf(t.place, "a negative intensity of %s cd", t.text)
			}
		}
		r.file.Candela = append(r.file.Candela, row)
	}
	if clipped > 0 {
		r.warnf(values[0].place, "%d intensities are slightly negative, as by rounding; they count as 0", clipped)
	}
}

// negligibleShare is the share of the peak up to which a negative intensity is a matter of rounding. Chosen.
const negligibleShare = 0.001

func peakOf(values []token) float64 {
	peak := 0.0
	for _, t := range values {
		peak = math.Max(peak, t.value)
	}
	return peak
}

// maxTrailing is how many zeros behind the last value are taken for the usual harmless slip.
const maxTrailing = 8

func (r *reader) checkExtra(extra []token, want int) {
	zeros := len(extra) <= maxTrailing
	for _, t := range extra {
		zeros = zeros && t.value == 0
	}
	if zeros {
		r.warnf(extra[0].place, "%d zeros follow the last candela value; they are left out", len(extra))
		return
	}
	r.faultf(extra[0].place, "too many numbers: expected %d candela values, found %d more; check the counts of angles",
		want, len(extra))
	r.blameCommas()
}

// blameCommas names decimal commas as what may have made the counts wrong.
func (r *reader) blameCommas() {
	if r.commas != (place{}) && len(r.report.Faults) > 0 {
		r.faultf(r.commas, "a comma within a number, as in 0,5, parts two numbers and would spoil all counts; write "+
			"decimal points")
	}
}
