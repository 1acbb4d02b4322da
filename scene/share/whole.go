package share

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"

	"fathomlux/scene/unit"
)

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
