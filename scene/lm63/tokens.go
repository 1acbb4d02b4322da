package lm63

import (
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// token is one number of the file. bad tokens were complained about; their value is 0.
type token struct {
	text  string
	value float64
	place place
	bad   bool
}

// maxTokens is more than any file within the limits holds.
const maxTokens = 2*MaxValues + 2*MaxTiltPairs + 100

// maxTokenFaults is how many words that are no numbers are listed: more help nobody.
const maxTokenFaults = 20

// mixed matches a line that has both a comma within digits and a blank between numbers.
var mixed = regexp.MustCompile(`\d(,)\d.*\d[ \t]+[-+.\d]|\d[ \t]+[-+.\d].*?\d(,)\d`)

// tokenise cuts the lines after TILT= into numbers, which blanks, tabs, line ends and single commas part.
func (r *reader) tokenise() {
	comma := true // a comma here would have nothing before it
	for i := r.start; i < len(r.lines) && len(r.tokens) < maxTokens; i++ {
		line := r.lines[i]
		if strings.HasPrefix(strings.TrimLeft(line, " \t"), "[") {
			r.badToken(place{i + 1, 1}, "a keyword after TILT=; move it above that line")
			continue
		}
		if m := mixed.FindStringSubmatchIndex(line); m != nil && r.commas == (place{}) {
			at := max(m[2], m[4])
			r.commas = place{i + 1, utf8.RuneCountInString(line[:at]) + 1}
		}
		comma = r.tokeniseLine(i, line, comma)
	}
}

// tokeniseLine cuts one line; comma tells whether the last delimiter before it, and what it returns whether the last
// one in it, was a comma that no number followed.
func (r *reader) tokeniseLine(index int, line string, comma bool) bool {
	at := place{index + 1, 1} // of line[counted:]
	counted := 0
	for i := 0; i < len(line) && len(r.tokens) < maxTokens; {
		at.column += utf8.RuneCountInString(line[counted:i])
		counted = i
		switch line[i] {
		case ' ', '\t', '\f', '\v':
			i++
		case ',':
			if comma {
				r.badToken(at, "an empty field: no number stands before this comma; take the comma out or give the number")
			}
			comma = true
			i++
		default:
			end := i
			for end < len(line) && !strings.ContainsRune(" \t\f\v,", rune(line[end])) {
				end++
			}
			r.addToken(line[i:end], at)
			comma = false
			i = end
		}
	}
	return comma
}

// number is a decimal number; D or d may stand for E, as old programs write it.
var number = regexp.MustCompile(`^[-+]?(\d+\.?\d*|\.\d+)([eEdD][-+]?\d+)?$`)

func (r *reader) addToken(text string, at place) {
	t := token{text: text, place: at}
	if number.MatchString(text) {
		value, err := strconv.ParseFloat(strings.NewReplacer("d", "e", "D", "e").Replace(text), 64)
		if err != nil || value > largest || value < -largest {
			r.badToken(at, "%s is too large; numbers up to %g serve", brief(text), largest)
			t.bad = true
		} else if value > smallest || value < -smallest {
			t.value = value
		}
		r.tokens = append(r.tokens, t)
		return
	}
	t.bad = true
	r.tokens = append(r.tokens, t)
	switch trimmed := strings.TrimRight(text, "+-"); {
	case strings.ContainsRune(text, ';'):
		r.badToken(at, "%s holds a semicolon; part numbers by blanks or commas", brief(text))
	case trimmed != "" && strings.ContainsAny(trimmed[len(trimmed)-1:], "eEdD") &&
		number.MatchString(trimmed[:len(trimmed)-1]):
		r.badToken(at, "%s ends in its exponent; take out the blank within the number", brief(text))
	default:
		r.badToken(at, "%s is no number; give a decimal number such as 12.5", brief(text))
	}
}

// largest is the largest magnitude of a number; what is below smallest counts as 0.
const (
	largest  = 1e9
	smallest = 1e-30
)

func (r *reader) badToken(at place, format string, args ...any) {
	r.bad = true
	if len(r.report.Faults) < maxTokenFaults {
		r.faultf(at, format, args...)
	}
}

// brief returns a word in quotes, cut where it is long.
func brief(text string) string {
	const most = 24
	if letters := []rune(text); len(letters) > most {
		text = string(letters[:most]) + "..."
	}
	return strconv.Quote(clean(text))
}
