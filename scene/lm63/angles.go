package lm63

import (
	"fmt"
	"math"
)

// closest is the smallest step between angles, degrees: finer than any goniometer.
const closest = 0.001

// checkAngles complains about lists that do not rise or stand for no symmetry, and about types B and A. kind is the
// place of field 6.
func (r *reader) checkAngles(kind place, photometry int, vertical, horizontal []token) {
	rising := r.checkRising("vertical", vertical, closest) && r.checkRising("horizontal", horizontal, closest)
	lastV, lastH := vertical[len(vertical)-1], horizontal[len(horizontal)-1]
	switch {
	case photometry == 1 && rising:
		r.checkVertical(vertical)
		r.checkHorizontal(horizontal)
	case photometry > 1:
		letter := string("BA"[photometry-2])
		if lastV.value > 90 || lastH.value > 90 {
			r.faultf(kind, "type and angles disagree: type %d (%s) has angles from -90 to 90, and these run to %g and %g; "+
				"type 1 (C) goes with them",
				photometry, letter, lastV.value, lastH.value)
			return
		}
		r.faultf(kind, "photometric type %d (%s), as for floodlights and headlamps, is not read; have the file written "+
			"as type 1 (C)", photometry, letter)
	}
}

func (r *reader) checkRising(what string, list []token, least float64) bool {
	for i := 1; i < len(list); i++ {
		step := list[i].value - list[i-1].value
		switch {
		case step == 0:
			r.faultf(list[i].place, "the %s angle %s is there twice", what, list[i].text)
		case step < 0:
			r.faultf(list[i].place, "the %s angles do not rise: %s follows %s", what, list[i].text, list[i-1].text)
		case step < least:
			r.faultf(list[i].place, "the %s angles %s and %s are closer than %g deg", what, list[i-1].text, list[i].text, least)
		default:
			continue
		}
		return false
	}
	return true
}

// checkVertical: type C begins at 0 or 90 and ends at 90 or 180; an earlier end is taken, and the rest is dark.
func (r *reader) checkVertical(list []token) {
	first, last := list[0], list[len(list)-1]
	switch {
	case first.value != 0 && first.value != 90:
		r.faultf(first.place, "the vertical angles begin at %s; those of type C begin at 0 (straight down) or 90", first.text)
	case last.value > 180:
		r.faultf(last.place, "the vertical angles run to %s; those of type C end at 90 or 180", last.text)
	}
}

// checkHorizontal: the first and the last angle say which symmetry the distribution has.
func (r *reader) checkHorizontal(list []token) {
	first, last := list[0], list[len(list)-1]
	switch a, b := first.value, last.value; {
	case len(list) == 1 && a == 0:
	case a == 0 && (b == 90 || b == 180 || b == 360):
	case a == 90 && b == 270:
	case a == 0 && b > 180 && b < 360:
		r.warnf(last.place, "the horizontal angles end at %s without 360; the circle is closed with the data at 0", last.text)
	default:
		r.faultf(first.place, "horizontal angles from %s to %s stand for no symmetry of type C; they are 0 alone, or run "+
			"from 0 to 90, 180 or 360, or from 90 to 270",
			first.text, last.text)
	}
}

// checkLight looks at the intensities of a sound file. end is the place of the last vertical angle.
func (r *reader) checkLight(end place) {
	f := r.file
	var peak, cut, nadirLow, nadirHigh float64
	nadirLow = math.Inf(1)
	last := len(f.Vertical) - 1
	for _, row := range f.Candela {
		for _, cd := range row {
			peak = math.Max(peak, cd)
		}
		cut = math.Max(cut, row[last])
		nadirLow, nadirHigh = math.Min(nadirLow, row[0]), math.Max(nadirHigh, row[0])
	}
	at := f.Vertical[last]
	switch {
	case peak == 0:
		r.faultf(place{}, "the file holds no light: all candela values are 0")
	case at != 90 && at != 180 && cut > 0:
		r.warnf(end, "the vertical angles end at %g deg, where there are still %.4g cd (%.2g %% of the peak); beyond it "+
			"is dark", at, cut, 100*cut/peak)
	}
	if f.Vertical[0] == 0 && nadirHigh-nadirLow > nadirSpread*peak {
		r.warnf(place{}, "the planes disagree straight down, from %.4g to %.4g cd, although that is one direction", nadirLow,
			nadirHigh)
	}
	if n := len(f.Horizontal) - 1; n > 0 && f.Horizontal[0] == 0 && f.Horizontal[n] == 360 {
		for v := range f.Vertical {
			if f.Candela[0][v] != f.Candela[n][v] {
				r.warnf(place{}, "%s", fmt.Sprintf("the values at horizontal angle 360 differ from those at 0, first at "+
					"vertical angle %g; each is used as written", f.Vertical[v]))
				return
			}
		}
	}
}

// nadirSpread is how far the planes may differ straight down, as a share of the peak, before it is odd. Chosen.
const nadirSpread = 0.02
