package lm63

import (
	"math"
	"slices"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
)

// closest is the smallest step between angles, degrees: finer than any goniometer.
const closest = 0.001

// checkAngles complains about lists that do not rise or have no symmetry, and about types B and A. Field 6 is at kind.
func (r *reader) checkAngles(kind document.Position, photometry int, vertical, horizontal []token) {
	rising := r.checkRising("vertical", vertical) && r.checkRising("horizontal", horizontal)
	lastV, lastH := vertical[len(vertical)-1], horizontal[len(horizontal)-1]
	switch letter := " CBA"[photometry]; {
	case photometry == 1 && rising:
		r.checkC(vertical, horizontal)
	case photometry > 1 && (lastV.value > 90 || lastH.value > 90):
		r.Faultf(kind, "type and angles disagree: type %d (%c) has angles from -90 to 90, and these run to %g and %g; "+
			"type 1 (C) goes with them", photometry, letter, lastV.value, lastH.value)
	case photometry > 1:
		r.Faultf(kind, "photometric type %d (%c), as for floodlights and headlamps, is not read; have the file written "+
			"as type 1 (C)", photometry, letter)
	}
}

func (r *reader) checkRising(what string, list []token) bool {
	for i := 1; i < len(list); i++ {
		before, t := list[i-1], list[i]
		switch gap := t.value - before.value; {
		case gap == 0:
			r.Faultf(t.at, "the %s angle %s is there twice", what, t.text)
		case gap < 0:
			r.Faultf(t.at, "the %s angles do not rise: %s follows %s", what, t.text, before.text)
		case gap < closest:
			r.Faultf(t.at, "the %s angles %s and %s are closer than %g°", what, before.text, t.text, closest)
		default:
			continue
		}
		return false
	}
	return true
}

// checkC: the vertical angles of type C begin at 0 or 90 and end at 90 or 180; an earlier end is taken, and the rest is
// dark. The first and the last horizontal angle say which symmetry the distribution has.
func (r *reader) checkC(vertical, horizontal []token) {
	switch low, high := vertical[0], vertical[len(vertical)-1]; {
	case low.value != 0 && low.value != 90:
		r.Faultf(low.at, "the vertical angles begin at %s; those of type C begin at 0 (straight down) or 90", low.text)
	case high.value > 180:
		r.Faultf(high.at, "the vertical angles run to %s; those of type C end at 90 or 180", high.text)
	}
	low, high := horizontal[0], horizontal[len(horizontal)-1]
	switch a, b := low.value, high.value; {
	case a == 0 && (b == 0 || b == 90 || b == 180 || b == 360), a == 90 && b == 270:
	case a == 0 && b > 180 && b < 360:
		r.Warn(high.at, finding.CircleOpen.Of(finding.Text(high.text)))
	default:
		r.Faultf(low.at, "horizontal angles from %s to %s stand for no symmetry of type C; they are 0 alone, or run "+
			"from 0 to 90, 180 or 360, or from 90 to 270", low.text, high.text)
	}
}

const (
	negligibleShare = 0.001 // of the peak: up to there a negative intensity is a matter of rounding. Chosen.
	maxTrailing     = 8     // zeros behind the last value that are taken for the usual harmless slip
	nadirSpread     = 0.02  // of the peak: how far the planes may differ straight down before it is odd. Chosen.
)

// candela reads the intensities and says where there are too few or too many of them.
func (r *reader) candela(f *File, factor float64) {
	nv, nh := len(f.Theta), len(f.Phi)
	values := r.tokens[r.at:]
	if len(values) < nv*nh {
		r.Faultf(first(len(r.lines)-1), "the file ends early: expected %d candela values (%d horizontal by %d vertical "+
			"angles), found %d", nv*nh, nh, nv, len(values))
		r.blameComma()
		return
	}
	switch extra := values[nv*nh:]; {
	case len(extra) == 0:
	case len(extra) <= maxTrailing && !slices.ContainsFunc(extra, func(t token) bool { return t.value != 0 }):
		r.Warn(extra[0].at, finding.ZerosTrailing.Of(finding.Number(len(extra))))
	default:
		r.Faultf(extra[0].at, "too many numbers: expected %d candela values, found %d more; check the counts of angles",
			nv*nh, len(extra))
		r.blameComma()
	}
	values = values[:nv*nh]
	peak, clipped := 0.0, 0
	for _, t := range values {
		peak = math.Max(peak, t.value)
	}
	for h := range nh {
		row := make([]float64, nv)
		for v := range row {
			t := values[h*nv+v]
			switch {
			case t.value >= 0:
				row[v] = t.value * factor
			case -t.value <= negligibleShare*peak:
				clipped++
			default:
				r.Faultf(t.at, "a negative intensity of %s cd", t.text)
			}
		}
		f.Candela = append(f.Candela, row)
	}
	if clipped > 0 {
		r.Warn(values[0].at, finding.IntensitiesNegative.Of(finding.Number(clipped)))
	}
}

// checkLight looks at the intensities of a sound file as it was written. end is the place of the last vertical angle.
func (r *reader) checkLight(f *File, end document.Position) {
	var peak, cut, nadirHigh float64
	nadirLow, last := math.Inf(1), len(f.Theta)-1
	for _, row := range f.Candela {
		peak, cut = math.Max(peak, slices.Max(row)), math.Max(cut, row[last])
		nadirLow, nadirHigh = math.Min(nadirLow, row[0]), math.Max(nadirHigh, row[0])
	}
	switch at := f.Theta[last]; {
	case peak == 0:
		r.Faultf(document.Position{}, "the file holds no light: all candela values are 0")
	case at != 90 && at != 180 && cut > 0:
		r.Warn(end, finding.AnglesEndLit.Of(finding.Number(at), finding.Number(cut), finding.Percent(cut/peak)))
	}
	if f.Theta[0] == 0 && nadirHigh-nadirLow > nadirSpread*peak {
		r.Warn(document.Position{}, finding.PlanesDisagree.Of(finding.Number(nadirLow), finding.Number(nadirHigh)))
	}
	n := len(f.Phi) - 1
	for v, at := range f.Theta {
		if f.Phi[n] == 360 && f.Candela[0][v] != f.Candela[n][v] {
			r.Warn(document.Position{}, finding.CircleDiffers.Of(finding.Number(at)))
			return
		}
	}
}
