package lm63

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// token is one number of the file. bad tokens were complained about; their value is 0.
type token struct {
	text  string
	value float64
	at    document.Position
	bad   bool
}

const (
	maxTokens      = 2*MaxValues + 2*maxTiltPairs + 100 // more than any file within the limits holds
	maxTokenFaults = 20                                 // words that are no numbers are listed: more help nobody
	largest        = 1e9                                // magnitude of a number
	smallest       = 1e-30                              // what is below counts as 0
	smallestFactor = 1e-6                               // wider than any factor that makes sense
	largestFactor  = 1e6
)

// mixed matches a line that has both a comma within digits and a blank between numbers.
var mixed = regexp.MustCompile(`\d(,)\d.*\d[ \t]+[-+.\d]|\d[ \t]+[-+.\d].*?\d(,)\d`)

// tokenise cuts the lines after TILT= into numbers, which blanks, tabs, line ends and single commas part.
func (r *reader) tokenise() {
	open := true // no number stands before a comma here
	r.tokens = make([]token, 0, min(r.size/2+1, maxTokens))
	for i := r.start; i < len(r.lines); i++ {
		line, at := r.lines[i], first(i)
		if strings.HasPrefix(strings.TrimLeft(line, " \t"), "[") {
			r.badToken(at, "a keyword after TILT=; move it above that line")
			continue
		}
		if m := mixed.FindStringSubmatchIndex(line); m != nil && r.comma == (document.Position{}) {
			r.comma = document.Position{Line: i + 1, Column: utf8.RuneCountInString(line[:max(m[2], m[4])]) + 1}
		}
		for line != "" && len(r.tokens) < maxTokens {
			end := strings.IndexAny(line, " \t\f\v,")
			if end < 0 {
				end = len(line)
			}
			switch {
			case end > 0:
				r.addToken(line[:end], at)
				open = false
			case line[0] == ',' && open:
				r.badToken(at, "an empty field: there is no number before this comma; remove the comma or give the number")
			case line[0] == ',':
				open = true
			}
			end = max(end, 1)
			at.Column += utf8.RuneCountInString(line[:end])
			line = line[end:]
		}
	}
}

// number is a decimal number; D or d may stand for E, as old programs write it. cut is one that a blank has parted from
// its exponent.
var (
	number = regexp.MustCompile(`^[-+]?(\d+\.?\d*|\.\d+)([eEdD][-+]?\d+)?$`)
	cut    = regexp.MustCompile(`^[-+]?(\d+\.?\d*|\.\d+)[eEdD][-+]*$`)
	withE  = strings.NewReplacer("d", "e", "D", "e")
)

func (r *reader) addToken(text string, at document.Position) {
	t := token{text: text, at: at}
	var err error
	t.bad = !number.MatchString(text)
	if !t.bad {
		t.value, err = strconv.ParseFloat(withE.Replace(text), 64)
	}
	switch {
	case strings.ContainsRune(text, ';'):
		r.badToken(at, "%.24q holds a semicolon; part numbers by blanks or commas", text)
	case cut.MatchString(text):
		r.badToken(at, "%.24q ends in its exponent; remove the blank within the number", text)
	case t.bad:
		r.badToken(at, "%.24q is not a number; give a decimal number such as 12.5", text)
	case err != nil || math.Abs(t.value) > largest:
		t.bad, t.value = true, 0
		r.badToken(at, "%.24q is too large; numbers up to %g are allowed", text, largest)
	case math.Abs(t.value) <= smallest:
		t.value = 0
	}
	r.tokens = append(r.tokens, t)
}

func (r *reader) badToken(at document.Position, format string, args ...any) {
	r.bad = true
	if len(r.Faults) < maxTokenFaults {
		r.Faultf(at, format, args...)
	}
}

// next returns the next number; ok is false for one that was complained about, or where there is none.
func (r *reader) next(what string) (t token, ok bool) {
	if r.at >= len(r.tokens) {
		if !r.ended && !r.bad {
			r.Faultf(first(len(r.lines)-1), "the file ends where %s is due", what)
		}
		r.ended = true
		return token{}, false
	}
	r.at++
	return r.tokens[r.at-1], !r.tokens[r.at-1].bad
}

// whole reads a whole number from low to high, 0 where there is a fault. It may be written as 19.0.
func (r *reader) whole(what string, low, high int) (n int, at document.Position) {
	t, ok := r.next(what)
	switch {
	case !ok:
		return 0, t.at
	case t.value != math.Trunc(t.value) || t.value < float64(low) || t.value > float64(high):
		r.Faultf(t.at, "%s is %.24q; give a whole number from %d to %d", what, t.text, low, high)
		return 0, t.at
	}
	return int(t.value), t.at
}

// factor reads a factor, 1 where there is a fault.
func (r *reader) factor(what string) float64 {
	t, ok := r.next(what)
	if ok && !(t.value >= smallestFactor && t.value <= largestFactor) {
		r.Faultf(t.at, "%s is %.24q; give a factor from %g to %g, mostly 1", what, t.text, smallestFactor, largestFactor)
		ok = false
	}
	if !ok {
		return 1
	}
	return t.value
}

func (r *reader) list(what string, n int) []float64 {
	values := make([]float64, 0, min(n, len(r.tokens)-r.at))
	for range n {
		t, _ := r.next(what)
		if r.ended {
			break
		}
		values = append(values, t.value)
	}
	return values
}

// body reads the numbers: tilt pairs, the thirteen, the angles and the candela.
func (r *reader) body() *File {
	r.tokenise()
	if r.tilted { // the table of TILT=INCLUDE is passed over
		r.whole("the lamp's geometry behind TILT=INCLUDE", 1, 3)
		n, _ := r.whole("the number of tilt angles", 1, maxTiltPairs)
		if n == 0 {
			r.bad, r.at = true, len(r.tokens) // nothing says where the lamps begin
		}
		r.list("a tilt angle", n)
		r.list("a tilt factor", n)
	}
	r.whole("the number of lamps (field 1)", 1, 1_000_000)
	if t, ok := r.next("the lumens of one lamp (field 2)"); ok && t.value <= 0 && t.value != -1 {
		r.Warn(t.at, finding.LumensOdd.Of(finding.Quote(t.text)))
	}
	factor := r.factor("the multiplier (field 3)")
	nv, vertical := r.whole("the number of vertical angles (field 4)", 2, MaxValues)
	nh, _ := r.whole("the number of horizontal angles (field 5)", 1, MaxValues)
	photometry, kind := r.whole("the photometric type (field 6: 1 for C, 2 for B, 3 for A)", 1, 3)
	units, _ := r.whole("the units (field 7: 1 for feet, 2 for metres)", 1, 2)
	metres := []float64{math.NaN(), 0.3048, 1}[units] // the foot by the yard and pound agreement of 1959
	for _, what := range []string{"the width of the opening (field 8)", "the length of the opening (field 9)",
		"the height of the opening (field 10)"} { // signs stand for its shape
		t, ok := r.next(what)
		if size := math.Abs(t.value) * metres; ok && size > largeOpeningM {
			r.Warn(t.at, finding.OpeningLarge.Of(finding.Text(what), finding.Amount{Of: unit.Cable, Value: size}))
		}
	}
	if r.ended || nv == 0 || nh == 0 {
		r.blameComma()
		return nil
	}
	if nv > MaxValues/nh || nv+nh > MaxValues {
		r.Faultf(vertical, "%d by %d angles are more than the limit of %d values", nv, nh, MaxValues)
		return nil
	}
	factor *= r.supply(nv, nh)
	angles := r.at
	f := &File{}
	f.Theta, f.Phi = r.list("a vertical angle", nv), r.list("a horizontal angle", nh)
	if r.ended || r.bad {
		return nil
	}
	r.checkAngles(kind, photometry, r.tokens[angles:angles+nv], r.tokens[angles+nv:r.at])
	r.candela(f, factor)
	if len(r.Faults) == 0 {
		r.checkLight(f, r.tokens[angles+nv-1].at)
		f.unfold()
	}
	return f
}

// largeOpeningM is a size above which units are more likely mistaken than right. Common practice, no published source.
const largeOpeningM = 3

// supply reads ballast factor, field 12 and input watts, and returns the factors among them. Where field 12 is left
// out, which shows in the vertical angles beginning one number early and the file being one number short, it says so.
// Field 12 is a factor up to 1991, 1 in 1995 and 2002, and in 2019 the code of how the file was made, 1.cssij with c
// for accredited, s for scaled, i for interpolated, and 1.00001 or 1.00010.
func (r *reader) supply(nv, nh int) (factor float64) {
	rest := r.tokens[r.at:]
	if !r.bad && len(rest) == 2+nv+nh+nv*nh && rises(rest[2:2+nv]) && !rises(rest[3:3+nv]) {
		r.Faultf(rest[0].at, "only two numbers stand before the angles: field 12 is missing; write ballast factor, 1 and "+
			"input watts")
		r.at += 2
		return 1
	}
	factor = r.factor("the ballast factor (field 11)")
	if r.revision <= 1991 {
		factor *= r.factor("the ballast-lamp photometric factor (field 12)")
	} else if t, ok := r.next("field 12"); ok {
		switch {
		case r.revision == 2019 && (t.value < 1 || t.value >= 1.2):
			r.Warn(t.at, finding.Field12NoType.Of(finding.Number(t.value)))
		case r.revision != 2019 && t.value != 1:
			r.Warn(t.at, finding.Field12NotOne.Of(finding.Number(t.value), finding.Number(r.revision)))
		}
	}
	if t, ok := r.next("the input watts (field 13)"); ok && t.value < 0 {
		r.Warn(t.at, finding.InputWattsNegative.Of(finding.Quote(t.text)))
	}
	return factor
}

func rises(tokens []token) bool {
	for i := 1; i < len(tokens); i++ {
		if !(tokens[i].value > tokens[i-1].value) {
			return false
		}
	}
	return true
}

// blameComma names decimal commas as what may have made the counts wrong.
func (r *reader) blameComma() {
	if r.comma != (document.Position{}) && len(r.Faults) > 0 {
		r.Faultf(r.comma, "a comma within a number, as in 0,5, parts two numbers and would spoil all counts; write "+
			"decimal points")
	}
}
