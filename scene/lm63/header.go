package lm63

import (
	"bytes"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// split cuts the data into lines: CR LF, LF or CR ends one; a byte order mark in front and NUL, SUB and blank space at
// the end are dropped. Bytes that are no UTF-8 are taken as Latin-1.
func (r *reader) split(data []byte) bool {
	switch {
	case len(data) > MaxBytes:
		r.faultf(place{}, "the file has %d bytes; at most %d (1 MiB) serve", len(data), MaxBytes)
		return false
	case bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")):
		r.faultf(place{}, "the file is UTF-16; save it as plain text")
		return false
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	data = bytes.TrimRight(data, "\x00\x1a \t\r\n")
	if len(data) == 0 {
		r.faultf(place{}, "the file is empty; an LM-63 file holds a header, a line TILT= and numbers")
		return false
	}
	text := string(data)
	if !utf8.Valid(data) {
		letters := make([]rune, len(data))
		for i, b := range data {
			letters[i] = rune(b)
		}
		text = string(letters)
	}
	text = strings.ReplaceAll(text, "\r\n", "\n")
	r.lines = strings.Split(strings.ReplaceAll(text, "\r", "\n"), "\n")
	for i, line := range r.lines {
		if at := strings.IndexByte(line, 0); at >= 0 {
			r.faultf(place{i + 1, utf8.RuneCountInString(line[:at]) + 1}, "a zero byte: this is no text file")
			return false
		}
	}
	return true
}

// clean returns a header line with what cannot be printed replaced, and without blanks at its ends.
func clean(line string) string {
	return strings.TrimSpace(strings.Map(func(c rune) rune {
		switch {
		case unicode.IsSpace(c):
			return ' '
		case !unicode.IsPrint(c):
			return utf8.RuneError
		}
		return c
	}, line))
}

// anyTilt finds the line that ends the header where nobody wrote it as it should be.
var anyTilt = regexp.MustCompile(`(?i)^\s*tilt\s*=`)

// findTilt returns the index of the line that ends the header: the first that starts with TILT=, else the first that
// nearly does; -1 where there is none.
func (r *reader) findTilt() int {
	near := -1
	for i, line := range r.lines {
		if strings.HasPrefix(strings.TrimSpace(line), "TILT=") {
			return i
		}
		if near < 0 && anyTilt.MatchString(line) {
			near = i
		}
	}
	return near
}

// header reads everything up to the line of TILT=.
func (r *reader) header() bool {
	tilt := r.findTilt()
	if tilt < 0 {
		r.faultf(place{}, "no line starts with TILT=; it stands between the header and the numbers, mostly as TILT=NONE")
		return false
	}
	r.start = tilt + 1
	r.file.Revision = Revision1986
	first, brackets := true, place{}
	for i, line := range r.lines[:tilt] {
		text := clean(line)
		if text == "" {
			continue
		}
		if first && r.identify(i, text) {
			first = false
			continue
		}
		first = false
		if strings.HasPrefix(text, "[") && brackets == (place{}) {
			brackets = place{i + 1, 1}
		}
	}
	if r.file.Revision == Revision1986 && brackets != (place{}) {
		r.file.Revision = Revision1995
		r.warnf(brackets, "keywords, but no first line that names the revision; the file is taken as IESNA:LM-63-1995")
	}
	r.tilt(tilt)
	return true
}

// firstLines are the first lines of the revisions that have one.
var firstLines = []struct {
	revision Revision
	text     string
}{
	{Revision1991, "IESNA91"}, {Revision1995, "IESNA:LM-63-1995"}, {Revision2002, "IESNA:LM-63-2002"}, {Revision2019,
		"IES:LM-63-2019"},
}

// anyFirst matches a first line that names a revision, upper case and without blanks, however it is misspelt.
var anyFirst = regexp.MustCompile(`^IES(NA)?([:_/-].*|\d.*|LM.*)?$`)

// identify takes the file's first line as the name of a revision; false where it is none.
func (r *reader) identify(index int, text string) bool {
	squeezed := strings.ToUpper(strings.ReplaceAll(text, " ", ""))
	if !anyFirst.MatchString(squeezed) {
		return false
	}
	for _, f := range firstLines {
		year := f.text[len(f.text)-2:]
		if squeezed != f.text && !strings.HasSuffix(squeezed, year) {
			continue
		}
		r.file.Revision = f.revision
		if r.lines[index] != f.text {
			r.warnf(place{index + 1, 1}, "the first line %q is taken as %s", text, f.text)
		}
		return true
	}
	r.file.Revision = Revision1995
	r.warnf(place{index + 1, 1}, "the first line %q names no known revision; the file is taken as IESNA:LM-63-1995", text)
	return true
}

// tilt reads what stands behind TILT=; the pairs of TILT=INCLUDE are among the numbers.
func (r *reader) tilt(index int) {
	line, at := r.lines[index], place{index + 1, 1}
	_, value, _ := strings.Cut(line, "=")
	value = clean(value)
	t := &r.file.Tilt
	switch {
	case strings.EqualFold(value, "NONE"):
		if line != "TILT=NONE" {
			r.warnf(at, "the line %q is taken as TILT=NONE", clean(line))
		}
	case strings.EqualFold(value, "INCLUDE"):
		t.Kind = TiltInclude
		if line != "TILT=INCLUDE" {
			r.warnf(at, "the line %q is taken as TILT=INCLUDE", clean(line))
		}
		r.warnf(at, "the tilt factors, made for discharge lamps, are not applied")
	case value == "":
		r.faultf(at, "nothing stands behind TILT=; write TILT=NONE")
	default:
		t.Kind, t.Name = TiltFile, value
		r.warnf(at, "the tilt factors of the file %q are not read", value)
	}
}
