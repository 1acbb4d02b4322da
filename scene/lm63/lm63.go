// Package lm63 reads measured light distributions in the form of LM-63 (1986, 1991, 1995, 2002, 2019), and says
// of a malformed file, by line and column, what is wrong and what would serve. Angles are degrees, intensities candela,
// lengths metres. Distributions are photometric type C: the vertical angle counts from straight down (0) to straight
// up (180), the horizontal one from the luminaire's length, counter-clockwise as seen from above. On a rail the length
// runs along the rail, so 0 is +x and 90 the back of the tank. From which side "counter-clockwise" is meant is settled
// by the standard's drawing alone; only a file without left-right symmetry can tell the difference.
// It reads no type B or A, applies no tilt factor, and opens no further file.
// Next: package beam for what a distribution does in a tank, package document for faults.
package lm63

import (
	"bytes"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
)

// The limits of a file: anything beyond is refused before memory is taken for it.
const (
	MaxValues    = 100_000 // candela values, and angles of both kinds together
	maxTiltPairs = 1000
)

// Read reads a file; name is what messages call it. The error is a *document.Error with every fault.
func Read(name string, data []byte) (*File, error) {
	r := &reader{Text: document.Text{Name: name, Report: &document.Report{}}}
	var f *File
	if r.split(data) && r.header() {
		f = r.body()
	}
	if err := r.Err(); err != nil {
		return nil, err
	}
	f.Warnings = r.Sorted()
	return f, nil
}

type reader struct {
	document.Text
	lines    []string // without their ends
	revision int      // its year; files of 1986 have no first line that names it
	tilted   bool     // a table of tilt factors stands before the numbers
	start    int      // index of the first line of numbers
	size     int      // bytes of all lines
	tokens   []token
	at       int               // next token
	bad      bool              // a token is not a number: what follows may be shifted
	ended    bool              // the end of the file was complained about
	comma    document.Position // of the first comma that may be a decimal one
}

// first returns the beginning of a line, which is counted from 0.
func first(line int) document.Position { return document.Position{Line: line + 1, Column: 1} }

// split cuts the data into lines: CR LF, LF or CR ends one; a byte order mark in front and NUL, SUB and blank space at
// the end are dropped. Bytes that are no UTF-8 are taken as Latin-1.
func (r *reader) split(data []byte) bool {
	if !r.Fits(data) {
		return false
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		r.Faultf(document.Position{}, "the file is UTF-16; save it as plain text")
		return false
	}
	data = bytes.TrimRight(bytes.TrimPrefix(data, []byte("\ufeff")), "\x00\x1a \t\r\n")
	text := string(data)
	if !utf8.Valid(data) {
		letters := make([]rune, len(data))
		for i, b := range data {
			letters[i] = rune(b)
		}
		text = string(letters)
	}
	if text == "" {
		r.Faultf(document.Position{}, "the file is empty; an LM-63 file holds a header, a line TILT= and numbers")
		return false
	}
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	r.lines, r.size = strings.Split(text, "\n"), len(text)
	if before, _, zero := strings.Cut(text, "\x00"); zero {
		at := document.Position{Line: 1 + strings.Count(before, "\n")}
		at.Column = utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:]) + 1
		r.Faultf(at, "a zero byte: this is not a text file")
		return false
	}
	return true
}

// anyTilt finds the line that ends the header where nobody wrote it as it should be.
var anyTilt = regexp.MustCompile(`(?i)^\s*tilt\s*=`)

// header reads everything up to the line of TILT=: the first that starts so, else the first that nearly does.
func (r *reader) header() bool {
	starts := func(with string) func(line string) bool {
		return func(line string) bool { return strings.HasPrefix(strings.TrimSpace(line), with) }
	}
	tilt := slices.IndexFunc(r.lines, starts("TILT="))
	if tilt < 0 {
		tilt = slices.IndexFunc(r.lines, anyTilt.MatchString)
	}
	if tilt < 0 {
		r.Faultf(document.Position{},
			"no line starts with TILT=; it stands between the header and the numbers, mostly as TILT=NONE")
		return false
	}
	r.start, r.revision = tilt+1, 1986
	top := slices.IndexFunc(r.lines, func(line string) bool { return strings.TrimSpace(line) != "" })
	keyword := slices.IndexFunc(r.lines[:tilt], starts("["))
	if !(top < tilt && r.identify(top, strings.TrimSpace(r.lines[top]))) && keyword >= 0 {
		r.revision = 1995
		r.Warn(first(keyword), finding.RevisionMissing.Of())
	}
	r.tilt(tilt)
	return true
}

// firstLines are the first lines of the revisions that have one, and their last two digits the end of its year.
var firstLines = map[string]int{"IESNA91": 1991, "IESNA:LM-63-1995": 1995, "IESNA:LM-63-2002": 2002,
	"IES:LM-63-2019": 2019}

// anyFirst matches a first line that names a revision, upper case and without blanks, however it is misspelt.
var anyFirst = regexp.MustCompile(`^IES(NA)?([:_/-].*|\d.*|LM.*)?$`)

// identify takes the file's first line as the name of a revision; false where it is none.
func (r *reader) identify(line int, text string) bool {
	squeezed := strings.ToUpper(strings.Join(strings.Fields(text), ""))
	if !anyFirst.MatchString(squeezed) {
		return false
	}
	for usual, revision := range firstLines {
		if strings.HasSuffix(squeezed, usual[len(usual)-2:]) {
			r.revision = revision
			if r.lines[line] != usual {
				r.Warn(first(line), finding.LineTakenAs.Of(finding.Quote(text), finding.Text(usual)))
			}
			return true
		}
	}
	r.revision = 1995
	r.Warn(first(line), finding.RevisionUnknown.Of(finding.Quote(text)))
	return true
}

// tilt reads what stands behind TILT=: how a discharge lamp's flux changes as the luminaire is tilted, which is not
// used. The pairs of TILT=INCLUDE are among the numbers.
func (r *reader) tilt(index int) {
	line, at := r.lines[index], first(index)
	_, value, _ := strings.Cut(line, "=")
	value = strings.TrimSpace(value)
	usual := strings.ToUpper(value)
	r.tilted = usual == "INCLUDE"
	switch {
	case value == "":
		r.Faultf(at, "nothing stands behind TILT=; write TILT=NONE")
		return
	case usual != "NONE" && !r.tilted:
		r.Warn(at, finding.TiltFileUnread.Of(finding.Quote(value)))
		return
	case line != "TILT="+usual:
		r.Warn(at, finding.LineTakenAs.Of(finding.Quote(strings.TrimSpace(line)), finding.Text("TILT="+usual)))
	}
	if r.tilted {
		r.Warn(at, finding.TiltUnused.Of())
	}
}

// File is one measured distribution of photometric type C over the whole circle, whatever symmetry it was written with.
type File struct {
	photometry.Distribution // factors applied
	Warnings                []finding.Finding
}

// unfold turns what was written in degrees, by the symmetry that its horizontal angles stand for, into the whole circle
// in radians.
func (f *File) unfold() {
	low, high := f.Phi[0], f.Phi[len(f.Phi)-1]
	at := map[float64][]float64{}
	for i, x := range f.Phi {
		at[x] = f.Candela[i]
		switch {
		case high == 0 || high == 360:
		case low == 90: // mirrored about the plane from 90 to 270
			at[math.Mod(540-x, 360)] = f.Candela[i]
		case high <= 180:
			at[360-x] = f.Candela[i]
			if high == 90 {
				at[180-x], at[180+x] = f.Candela[i], f.Candela[i]
			}
		}
	}
	if at[0] == nil { // what stands at 180 is mirrored there, and between two rows it is their mean
		at[0] = make([]float64, len(f.Theta))
		for v, theta := range f.Theta {
			at[0][v] = f.At(theta, 180)
		}
	}
	if high > 0 && at[360] == nil {
		at[360] = at[0]
	}
	f.Phi, f.Candela = slices.Sorted(maps.Keys(at)), nil
	for _, x := range f.Phi {
		f.Candela = append(f.Candela, at[x])
	}
	for _, angles := range [][]float64{f.Theta, f.Phi} {
		for i, deg := range angles {
			angles[i] = deg * math.Pi / 180
		}
	}
}

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
