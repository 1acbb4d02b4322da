// Package share reads and writes parts: each is one file with what one machine has computed of a study that was
// divided, and with the scene, so that nothing else is needed to join all of them. It knows no more of a result than
// that it is JSON.
//
// A part is lines of JSON: a Head, a line for each result, and an End. Equal parts are equal byte for byte.
// Next: package optics/study, which divides a sweep, and package optics, which divides a tracing.
package share

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"iter"

	"fathomlux/scene"
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
