// Package share reads and writes parts: each is one file with what one machine has computed of a study that was
// divided, and with the scene, so that nothing else is needed to join all of them. It knows no more of a result than
// that it is JSON.
//
// A part is lines of JSON: a Head, a line for each result, and an End. Equal parts are equal byte for byte.
// Next: package optics/study, which divides a sweep, and package optics, which divides a tracing.
package share

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"maps"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// Format is the version of the form of parts.
const Format = 1

// Head says what a part is of.
type Head struct {
	Format    int               `json:"fathomlux_part"` // its first key
	Version   string            `json:"version"`        // of the program
	Call      string            `json:"call"`           // that computes the study, for people
	Words     string            `json:"words"`          // of it: the command and the flags, one a line
	SceneFile string            `json:"scene_file"`
	Scene     []byte            `json:"scene"` // the text of that file
	Files     map[string][]byte `json:"files"` // that the scene names
	Part      int               `json:"part"`  // from 1
	Of        int               `json:"of"`
}

// End closes a part: how many results it holds, and the digest of all that stands before, in hexadecimal figures.
type End struct {
	Results int    `json:"results"`
	SHA256  string `json:"sha256"`
}

// begin is how parts begin, of any format.
const begin = `{"fathomlux_part":`

// Put keeps a scene with the files that it names.
func (h *Head) Put(sc *scene.Scene) {
	h.SceneFile, h.Scene, h.Files = sc.File, sc.Source(), map[string][]byte{}
	for _, f := range sc.Files() {
		h.Files[f.Name] = f.Content
	}
}

// Read reads the scene that a part holds.
func (h *Head) Read() (*scene.Scene, error) {
	return scene.Parse(h.SceneFile, h.Scene, func(name string) ([]byte, error) {
		if data, ok := h.Files[name]; ok {
			return data, nil
		}
		return nil, errors.New("the part does not hold this file")
	})
}

// Write makes a part of what was computed; the head's format is set.
func Write[R any](h Head, results []R) ([]byte, error) { return writeUpTo(MaxBytes, h, results) }

func writeUpTo[R any](most int, h Head, results []R) ([]byte, error) {
	h.Format = Format
	var b bytes.Buffer
	to := json.NewEncoder(&b)
	err := to.Encode(h)
	for i := 0; i < len(results) && err == nil; i++ {
		err = to.Encode(results[i])
	}
	if err == nil {
		err = to.Encode(End{len(results), digest(b.Bytes())})
	}
	switch {
	case err != nil:
		return nil, fmt.Errorf("the results cannot be kept in a part: %w", err)
	case b.Len() > most:
		return nil, fmt.Errorf("the part would have %d bytes, more than the limit of %d; use a larger step", b.Len(), most)
	}
	return b.Bytes(), nil
}

func digest(data []byte) string { return fmt.Sprintf("%x", sha256.Sum256(data)) }

// Part is a part whose file was read and found to be whole. Its results stay in the file.
type Part struct {
	Head
	File string
}

// MaxParts is the most parts that a study is divided into.
const MaxParts = 10_000

// MaxBytes is the size of the largest part that is read.
const MaxBytes = 1 << 30

// read reads the head and returns the lines of the results.
func (p *Part) read() ([]byte, error) {
	data, err := scene.ReadFileUpTo(p.File, MaxBytes)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.File, err)
	}
	results, err := p.parse(data)
	if err != nil {
		return nil, fmt.Errorf("%s %w", p.File, err)
	}
	return results, nil
}

var (
	errForeign = errors.New("is no part; give files that --share wrote")
	errDamaged = errors.New("is cut off or damaged; compute this part again")
)

// parse reads a part; its errors follow the name of the file.
func (p *Part) parse(data []byte) (results []byte, err error) {
	if !bytes.HasPrefix(data, []byte(begin)) {
		return nil, errForeign
	}
	first, _, _ := bytes.Cut(data, []byte("\n"))
	var format struct {
		Format int `json:"fathomlux_part"`
	}
	if json.Unmarshal(first, &format) == nil && format.Format != Format {
		return nil, fmt.Errorf("has the format %d of parts, this program reads %d; join it with the version that computed it",
			format.Format, Format)
	}
	body, last := cutLast(data)
	var end End
	if json.Unmarshal(last, &end) != nil || end.SHA256 != digest(body) || len(body) < len(first)+1 {
		return nil, errDamaged
	}
	results = body[len(first)+1:]
	p.Head = Head{}
	if json.Unmarshal(first, &p.Head) != nil || p.Of > MaxParts || p.Part < 1 || p.Part > p.Of ||
		bytes.Count(results, []byte("\n")) != end.Results {
		return nil, errDamaged
	}
	return results, nil
}

// cutLast cuts off the last line, which ends in a line break.
func cutLast(data []byte) (before, last []byte) {
	if !bytes.HasSuffix(data, []byte("\n")) {
		return data, nil
	}
	at := bytes.LastIndexByte(data[:len(data)-1], '\n') + 1
	return data[:at], data[at:]
}

// Results reads the results of parts, part after part, each file when its turn comes.
func Results[R any](parts []*Part) iter.Seq2[R, error] {
	return func(yield func(R, error) bool) {
		for _, p := range parts {
			var none R
			data, err := p.read()
			if err != nil {
				yield(none, err)
				return
			}
			for line := range bytes.Lines(data) {
				var r R
				if json.Unmarshal(line, &r) != nil {
					yield(none, fmt.Errorf("%s %w", p.File, errDamaged))
					return
				}
				if !yield(r, nil) {
					return
				}
			}
		}
	}
}

// Open reads parts and returns them in their order where they make one whole, of a version of the program. Otherwise
// the error holds all that is wrong: files that are no parts or cut off; else parts of another study than the first,
// parts that are there twice, and those that are missing.
func Open(files []string, version string) ([]*Part, error) {
	var parts []*Part
	var faults []error
	for _, file := range files {
		p := &Part{File: file}
		if _, err := p.read(); err != nil {
			faults = append(faults, err)
		}
		parts = append(parts, p)
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	return whole(parts, version)
}

func whole(parts []*Part, version string) ([]*Part, error) {
	first := parts[0]
	if first.Version != version {
		return nil, fmt.Errorf("%s was computed by version %s, and this is %s; join parts with the version that computed "+
			"them", first.File, first.Version, version)
	}
	sorted := slices.SortedStableFunc(slices.Values(parts), func(a, b *Part) int { return cmp.Compare(a.Part, b.Part) })
	var faults []error
	file := map[int]string{}
	for _, p := range sorted {
		switch why := p.unlike(&first.Head); {
		case why != "":
			faults = append(faults, fmt.Errorf("%s is of another study than %s: %s", p.File, first.File, why))
		case file[p.Part] != "":
			faults = append(faults, fmt.Errorf("part %d is there twice: %s and %s; give one of them", p.Part, file[p.Part],
				p.File))
		default:
			file[p.Part] = p.File
		}
	}
	if lack := missing(file, &first.Head); lack != nil {
		faults = append(faults, lack)
	}
	return sorted, errors.Join(faults...)
}

// unlike says in what a head is of another study, "" where it is of the same.
func (h *Head) unlike(o *Head) string {
	switch {
	case h.Version != o.Version:
		return fmt.Sprintf("it was computed by version %s, not %s", h.Version, o.Version)
	case h.Call != o.Call:
		return fmt.Sprintf("it was computed by: %s; not by: %s", h.Call, o.Call)
	case !bytes.Equal(h.Scene, o.Scene):
		return "the text of its scene differs"
	case !maps.EqualFunc(h.Files, o.Files, bytes.Equal):
		return "the files differ that its scene names"
	case h.Of != o.Of:
		return fmt.Sprintf("it is one of %d parts, not of %d", h.Of, o.Of)
	}
	return ""
}

// missing names the parts that are not there, and how to compute one of them.
func missing(file map[int]string, h *Head) error {
	var lack []int
	for i := 1; i <= h.Of; i++ {
		if file[i] == "" {
			lack = append(lack, i)
		}
	}
	switch len(lack) {
	case 0:
		return nil
	case 1:
		return fmt.Errorf("part %d of %d is missing; compute it with: %s --share %d/%d", lack[0], h.Of, h.Call, lack[0],
			h.Of)
	}
	return fmt.Errorf("parts %s of %d are missing; compute each of them, the first with: %s --share %d/%d",
		unit.Runs(lack, " to ", ", "), h.Of, h.Call, lack[0], h.Of)
}
