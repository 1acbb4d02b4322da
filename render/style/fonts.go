package style

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strings"
	"sync"
	"unicode"

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

// fonts are the regular and the bold weight (true).
var fonts = sync.OnceValue(func() map[bool]*sfnt.Font {
	all := map[bool]*sfnt.Font{}
	for bold, data := range map[bool][]byte{false: liberationsansregular.TTF, true: liberationsansbold.TTF} {
		all[bold], _ = opentype.Parse(data) // they are embedded; the tests read them
	}
	return all
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
	factor = cmp.Or(factor, 1)
	if !(factor >= 0.25 && factor <= MaxPixelFactor) {
		return nil, fmt.Errorf("pixel factor %g is out of range; give 0.25 to %d", factor, MaxPixelFactor)
	}
	return &Typesetter{factor: factor, faces: map[Font]font.Face{}}, nil
}

// face returns the face at its final size in pixels, so that nothing is scaled afterwards.
func (t *Typesetter) face(f Font) font.Face {
	if face, ok := t.faces[f]; ok {
		return face
	}
	t.faces[f], _ = opentype.NewFace(fonts()[f.Bold], &opentype.FaceOptions{Size: f.SizePt * t.factor, DPI: 72,
		Hinting: font.HintingNone}) // fails on no option that we give
	return t.faces[f]
}

// Clean returns s as it can be drawn: white space and control characters become single spaces, letters that the font
// lacks (it holds Latin, Greek, Cyrillic and Hebrew) become U+FFFD.
func (t *Typesetter) Clean(s string, f Font) string {
	clean := strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.IsSpace(r) && r != '\u00a0' && r != '\u202f' {
			return ' '
		}
		if !t.has(r, f) {
			return '\ufffd'
		}
		return r
	}, s)
	return strings.Join(strings.FieldsFunc(clean, func(r rune) bool { return r == ' ' }), " ")
}

// rightToLeft matches right-to-left letters with the blanks between them.
var rightToLeft = regexp.MustCompile(`[\p{Hebrew}\p{Arabic}]+( +[\p{Hebrew}\p{Arabic}]+)*`)

// visual puts right-to-left letters into the order in which they are seen, for a writer that goes from left to right.
// Far less than Unicode Standard Annex 9, but enough for names.
func visual(s string) string {
	return rightToLeft.ReplaceAllStringFunc(s, func(run string) string {
		letters := []rune(run)
		slices.Reverse(letters)
		return string(letters)
	})
}

func (t *Typesetter) has(r rune, f Font) bool {
	index, err := fonts()[f.Bold].GlyphIndex(&t.buffer, r)
	return err == nil && index != 0
}

// Width returns the width of s in points.
func (t *Typesetter) Width(s string, f Font) float64 {
	return float64(font.MeasureString(t.face(f), t.Clean(s, f))) / 64 / t.factor
}

// fitting returns how many letters of a text have room in widthPt, with a tail behind them.
func (t *Typesetter) fitting(letters []rune, f Font, widthPt float64, tail string) int {
	return sort.Search(len(letters), func(n int) bool { return t.Width(string(letters[:n+1])+tail, f) > widthPt })
}

// Shorten returns s, cut at its end and closed with an ellipsis where it is wider than widthPt.
func (t *Typesetter) Shorten(s string, f Font, widthPt float64) string {
	const ellipsis = "\u2026"
	s = t.Clean(s, f)
	if t.Width(s, f) <= widthPt {
		return s
	}
	letters := []rune(s)
	return strings.TrimRight(string(letters[:t.fitting(letters, f, widthPt, ellipsis)]), " ,;:") + ellipsis
}

// Wrap breaks s between words into lines of at most widthPt, and a word that is wider by itself within it; what does
// not fit into maxLines is cut with an ellipsis. An empty text has no line.
func (t *Typesetter) Wrap(s string, f Font, widthPt float64, maxLines int) (lines []string) {
	for rest := t.Clean(s, f); rest != "" && len(lines) < maxLines; rest = strings.TrimLeft(rest, " ") {
		line := t.Shorten(rest, f, widthPt)
		if letters := []rune(rest); line != rest && len(lines) < maxLines-1 {
			line = string(letters[:max(1, t.fitting(letters, f, widthPt, ""))])
			if end := strings.LastIndex(line, " "); end > 0 && !strings.HasPrefix(rest[len(line):], " ") {
				line = line[:end]
			}
		} else {
			rest = line
		}
		lines, rest = append(lines, line), rest[len(line):]
	}
	return lines
}

// Unshown returns the letters of a text that the embedded fonts lack, each once: pictures and templates show a sign of
// ignorance in their place.
func Unshown(s string) string {
	var t Typesetter
	var lacking []rune
	for _, r := range s {
		if !unicode.IsControl(r) && !unicode.IsSpace(r) && !t.has(r, TextFont) && !slices.Contains(lacking, r) {
			lacking = append(lacking, r)
		}
	}
	return string(lacking)
}
