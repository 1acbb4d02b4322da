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
	"fmt"

	"fathomlux/scene/document"
)

// The limits of a file: anything beyond is refused before memory is taken for it.
const (
	MaxBytes     = document.MaxBytes // 1 MiB
	MaxValues    = 100_000           // candela values, and angles of both kinds together
	MaxTiltPairs = 1000
)

// Revision is the year of the form that a file is written in.
type Revision int

// The revisions. Files of 1986 have no first line that names them.
const (
	Revision1986 Revision = 1986
	Revision1991 Revision = 1991
	Revision1995 Revision = 1995
	Revision2002 Revision = 2002
	Revision2019 Revision = 2019
)

// Units tells what the opening was written in; it never touches the candela.
type Units int

// The units of the luminous opening.
const (
	Feet   Units = 1
	Metres Units = 2
)

// metresPer returns the exact length of the unit, m.
func (u Units) metresPer() float64 {
	if u == Feet {
		return 0.3048 // international yard and pound agreement, 1959
	}
	return 1
}

// TiltKind tells what stood behind TILT=.
type TiltKind int

// The kinds of tilt.
const (
	TiltNone TiltKind = iota
	TiltInclude
	TiltFile
)

// Tilt is how a discharge lamp's flux changes as the luminaire is tilted. It is read and not used.
type Tilt struct {
	Kind     TiltKind
	Name     string // of the file that TiltFile names; it is not read
	Geometry int    // 1 lamp vertical, 2 lamp stays horizontal, 3 lamp tilts with the luminaire
	AngleDeg []float64
	Factor   []float64
}

// File is one measured distribution of photometric type C.
type File struct {
	Revision                 Revision
	Tilt                     Tilt
	Lamps                    int
	LumensPerLamp            float64 // rated; -1: absolute photometry, the candela stand on their own
	Multiplier               float64
	Units                    Units
	WidthM, LengthM, HeightM float64 // luminous opening as written: signs stand for its shape
	BallastFactor            float64
	Field12                  float64 // 1986, 1991: a factor; 1995, 2002: reserved; 2019: code of how the file was made
	InputWatts               float64
	Vertical                 []float64   // degrees, rising
	Horizontal               []float64   // degrees, rising
	Candela                  [][]float64 // one row of vertical angles for each horizontal one, all factors applied
	Warnings                 []document.Fault
}

// factor is what values in the file are multiplied by: multiplier, ballast factor, and field 12 where it is one.
func (f *File) factor() float64 {
	k := f.Multiplier * f.BallastFactor
	if f.Revision <= Revision1991 {
		k *= f.Field12
	}
	return k
}

// Read reads a file; name is what messages call it. The error is a *document.Error with every fault that could be
// found.
func Read(name string, data []byte) (*File, error) {
	r := &reader{name: name, file: &File{}}
	if r.split(data) && r.header() {
		r.tokenise()
		r.body()
	}
	if err := r.report.Err(); err != nil {
		return nil, err
	}
	r.file.Warnings = r.report.InOrder(r.report.Warnings)
	return r.file, nil
}

// reader reads one file.
type reader struct {
	name   string
	report document.Report
	file   *File
	lines  []string // without their ends
	start  int      // index of the first line of numbers
	tokens []token
	at     int   // next token
	bad    bool  // a token is no number: what follows may be shifted
	ended  bool  // the end of the file was complained about
	commas place // of the first comma that may be a decimal one
}

// place is a line and a column, both from 1; the zero place is the whole file.
type place struct{ line, column int }

func (r *reader) faultf(at place, format string, args ...any) {
	r.report.AddFault(document.Fault{File: r.name, Line: at.line, Column: at.column,
		Message: fmt.Sprintf(format, args...)})
}

func (r *reader) warnf(at place, format string, args ...any) {
	r.report.AddWarning(document.Fault{File: r.name, Line: at.line, Column: at.column,
		Message: fmt.Sprintf(format, args...)})
}
