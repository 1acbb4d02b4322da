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
	plotfont "gonum.org/v1/plot/font"
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

// face returns the font's description, by which the faces are kept.
func (f Font) face() plotfont.Font {
	weight := font.WeightNormal
	if f.Bold {
		weight = font.WeightBold
	}
	return plotfont.Font{Typeface: "Liberation", Variant: "Sans", Weight: weight}
}

// faces are the two that pictures use. The packages of gonum/plot that register all faces of the family, serif and
// monospaced ones too, would double the size of the program.
var faces = sync.OnceValue(func() *plotfont.Cache {
	cache := plotfont.NewCache(nil)
	for bold, data := range map[bool][]byte{false: liberationsansregular.TTF, true: liberationsansbold.TTF} {
		face, _ := opentype.Parse(data) // they are embedded; the tests read them
		cache.Add(plotfont.Collection{{Font: Font{Bold: bold}.face(), Face: face}})
	}
	return cache
})

// parsed returns the face of a font, at its size.
func (f Font) parsed() plotfont.Face { return faces().Lookup(f.face(), plotfont.Points(f.SizePt)) }

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
	face := f.parsed()
	t.faces[f] = face.FontFace(72 * t.factor) // 72 points an inch
	return t.faces[f]
}

// Clean returns s as it can be drawn: white space and control characters become single spaces, letters that the font
// lacks (it holds Latin, Greek, Cyrillic and Hebrew) become U+FFFD.
func (t *Typesetter) Clean(s string, f Font) string {
	face := f.parsed().Face
	clean := strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.IsSpace(r) && r != '\u00a0' && r != '\u202f' {
			return ' '
		}
		if !t.has(r, face) {
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

func (t *Typesetter) has(r rune, face *sfnt.Font) bool {
	index, err := face.GlyphIndex(&t.buffer, r)
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
	face := TextFont.parsed().Face
	for _, r := range s {
		if !unicode.IsControl(r) && !unicode.IsSpace(r) && !t.has(r, face) && !slices.Contains(lacking, r) {
			lacking = append(lacking, r)
		}
	}
	return string(lacking)
}
