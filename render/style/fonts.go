package style

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
)

// Font is a size and weight of the one typeface, Liberation Sans.
type Font struct {
	SizePt float64
	Bold   bool
}

// The fonts of a page.
var (
	TitleFont    = Font{SizePt: 25, Bold: true}
	SubtitleFont = Font{SizePt: 17}
	FigureFont   = Font{SizePt: 21, Bold: true} // large figures below a picture
	TextFont     = Font{SizePt: 14.5}
	SmallFont    = Font{SizePt: 13}
	LabelFont    = Font{SizePt: 12.5}
)

// The share of a font's size that stands above and below the base line in a text's box. Capitals of Liberation
// Sans are 0.73 high (its OS/2 table), descenders reach 0.21.
const (
	capShare     = 0.73
	descentShare = 0.22
)

// fonts are the regular and the bold weight.
var fonts = sync.OnceValues(func() (all [2]*sfnt.Font, err error) {
	for i, data := range [2][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		if all[i], err = opentype.Parse(data); err != nil {
			return all, fmt.Errorf("embedded font: %w", err)
		}
	}
	return all, nil
})

// Typesetter measures and breaks text for one drawing at one pixel factor. It is not safe for two goroutines: its
// faces are its own, the parsed fonts serve all.
type Typesetter struct {
	factor float64
	faces  map[Font]font.Face
	buffer sfnt.Buffer
}

// MaxPixelFactor is the largest pixel factor.
const MaxPixelFactor = 4

// NewTypesetter returns a typesetter for a pixel factor from 0.25 to MaxPixelFactor; 0 is taken as 1.
func NewTypesetter(factor float64) (*Typesetter, error) {
	if factor == 0 {
		factor = 1
	}
	if !(factor >= 0.25 && factor <= MaxPixelFactor) {
		return nil, fmt.Errorf("pixel factor %g is out of range; give 0.25 to %d", factor, MaxPixelFactor)
	}
	if _, err := fonts(); err != nil {
		return nil, err
	}
	return &Typesetter{factor: factor, faces: map[Font]font.Face{}}, nil
}

func (t *Typesetter) source(f Font) *sfnt.Font {
	all, _ := fonts() // NewTypesetter has seen that both parse
	if f.Bold {
		return all[1]
	}
	return all[0]
}

// face returns the face at its final size in pixels, so that nothing is scaled afterwards.
func (t *Typesetter) face(f Font) font.Face {
	if face, ok := t.faces[f]; ok {
		return face
	}
	face, err := opentype.NewFace(t.source(f), &opentype.FaceOptions{Size: f.SizePt * t.factor, DPI: 72,
		Hinting: font.HintingNone})
	if err != nil {
		panic(err) // fails on no option that we give
	}
	t.faces[f] = face
	return face
}

// Clean returns s as it can be drawn: white space and control characters become single spaces, letters that the font
// lacks (it holds Latin, Greek, Cyrillic and Hebrew) become U+FFFD or a question mark.
func (t *Typesetter) Clean(s string, f Font) string {
	clean := strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.IsSpace(r) && r != '\u00a0' && r != '\u202f' {
			return ' '
		}
		if t.has(r, f) {
			return r
		}
		if t.has('\ufffd', f) {
			return '\ufffd'
		}
		return '?'
	}, s)
	return strings.Join(strings.FieldsFunc(clean, func(r rune) bool { return r == ' ' }), " ")
}

// visual puts right-to-left letters into the order in which they are seen, for a writer that goes from left to right:
// each run of them, with the blanks inside it, is turned round. Far less than Unicode Standard Annex 9, but enough
// for names.
func visual(s string) string {
	letters := []rune(s)
	isRight := func(r rune) bool { return unicode.In(r, unicode.Hebrew, unicode.Arabic) }
	for from := 0; from < len(letters); from++ {
		if !isRight(letters[from]) {
			continue
		}
		to := from
		for i := from; i < len(letters) && (isRight(letters[i]) || letters[i] == ' '); i++ {
			if isRight(letters[i]) {
				to = i
			}
		}
		slices.Reverse(letters[from : to+1])
		from = to
	}
	return string(letters)
}

func (t *Typesetter) has(r rune, f Font) bool {
	index, err := t.source(f).GlyphIndex(&t.buffer, r)
	return err == nil && index != 0
}

// Width returns the width of s in points.
func (t *Typesetter) Width(s string, f Font) float64 {
	return float64(font.MeasureString(t.face(f), t.Clean(s, f))) / 64 / t.factor
}

// Shorten returns s, cut at its end and closed with an ellipsis where it is wider than widthPt.
func (t *Typesetter) Shorten(s string, f Font, widthPt float64) string {
	s = t.Clean(s, f)
	if t.Width(s, f) <= widthPt {
		return s
	}
	letters := []rune(s)
	low, high := 0, len(letters) // low letters fit, high do not
	for high-low > 1 {
		mid := (low + high) / 2
		if t.Width(string(letters[:mid])+"\u2026", f) <= widthPt {
			low = mid
		} else {
			high = mid
		}
	}
	return strings.TrimRight(string(letters[:low]), " ,;:") + "\u2026"
}

// Wrap breaks s between words into lines of at most widthPt, and a word that is wider by itself within it; what does
// not fit into maxLines is cut with an ellipsis. An empty text has no line.
func (t *Typesetter) Wrap(s string, f Font, widthPt float64, maxLines int) []string {
	words := strings.FieldsFunc(t.Clean(s, f), func(r rune) bool { return r == ' ' })
	var lines []string
	for len(words) > 0 && len(lines) < maxLines {
		if begin := t.begin(words[0], f, widthPt); begin < len(words[0]) && len(lines) < maxLines-1 {
			lines = append(lines, words[0][:begin])
			words[0] = words[0][begin:]
			continue
		}
		n := 1
		for n < len(words) && t.Width(strings.Join(words[:n+1], " "), f) <= widthPt {
			n++
		}
		if len(lines) == maxLines-1 {
			n = len(words)
		}
		lines = append(lines, t.Shorten(strings.Join(words[:n], " "), f, widthPt))
		words = words[n:]
	}
	return lines
}

// begin returns how many bytes of a word's beginning have room in widthPt, at least one letter.
func (t *Typesetter) begin(word string, f Font, widthPt float64) int {
	if t.Width(word, f) <= widthPt {
		return len(word)
	}
	_, least := utf8.DecodeRuneInString(word)
	end := least
	for i := range word {
		if i > least && t.Width(word[:i], f) <= widthPt {
			end = i
		}
	}
	return end
}

// Unshown returns the letters of a text that the embedded fonts lack, each once: pictures and templates show a sign of
// ignorance in their place.
func Unshown(s string) string {
	t, err := NewTypesetter(1)
	if err != nil {
		return ""
	}
	var lacking []rune
	for _, r := range s {
		if !unicode.IsControl(r) && !unicode.IsSpace(r) && !t.has(r, TextFont) && !slices.Contains(lacking, r) {
			lacking = append(lacking, r)
		}
	}
	return string(lacking)
}
