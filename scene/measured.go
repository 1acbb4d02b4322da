package scene

import (
	"errors"
	"math"
	"path/filepath"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/lm63"
	"fathomlux/scene/parts"
)

// measured reads the distribution that the optic named at n comes from, once a file, and gives the optic the beam and
// field angles that it has, here and in the library. Faults of the file stand at their places in it.
func (r *reader) measured(n document.Node, o *parts.Optic) {
	if o.File == "" {
		return
	}
	f, known := r.files[o.File]
	if !known {
		f = r.readMeasured(n, *o)
		r.files[o.File] = f
	}
	if f == nil {
		return
	}
	o.BeamRad, o.BeamAcrossRad = f.FullAngles(0.5)
	o.FieldRad, o.FieldAcrossRad = f.FullAngles(0.1)
	if o.BeamRad == 0 {
		n.Warn(finding.OpticDarkMiddle.Of(finding.Text(o.Name), finding.Text(o.File)))
	}
	r.scene.Catalogue.Optics[o.Name] = *o
}

// readMeasured reads a distribution, nil where there is a fault.
func (r *reader) readMeasured(n document.Node, o parts.Optic) *lm63.File {
	data, err := r.open(o.File)
	if err != nil {
		n.Faultf("the distribution of %s, %s: %v", o.Name, o.File, err)
		return nil
	}
	f, err := lm63.Read(filepath.Join(filepath.Dir(r.scene.File), filepath.FromSlash(o.File)), data)
	var faults *document.Error
	if errors.As(err, &faults) {
		for _, fault := range faults.Faults {
			r.report.AddFault(fault)
		}
		return nil
	}
	for _, w := range f.Warnings {
		r.report.AddWarning(w)
	}
	switch down := f.FluxWithin(math.Pi/2) / f.FluxWithin(math.Pi); {
	case !(down > leastDown):
		n.Faultf("the distribution of %s, %s, has light above its horizon only; a rail needs one that shines down", o.Name,
			o.File)
		return nil
	case down < oddDown:
		n.Warn(finding.OpticShinesUp.Of(finding.Percent(1-down), finding.Text(o.Name), finding.Text(o.File)))
	}
	return f
}

// unusedOptics warns of own optics that no rail uses and whose distribution cannot be read: they would fail later,
// where a command puts them in. It opens no file that a rail's optic has opened.
func (r *reader) unusedOptics() {
	for optic, n := range r.scene.Catalogue.OpticFiles() {
		file := r.scene.Catalogue.Optics[optic].File
		if _, read := r.files[file]; read || file == "" {
			continue
		}
		data, err := r.open(file)
		if err == nil {
			_, err = lm63.Read(file, data)
		}
		var faults *document.Error
		if errors.As(err, &faults) {
			err = faults.Faults[0]
		}
		if err != nil {
			n.Warn(finding.OpticUnreadable.Of(finding.Text(optic), finding.Text(err.Error())))
		}
	}
}

// Shares of light that goes down: up to leastDown is rounding, less than oddDown is worth a word.
const (
	leastDown = 1e-9
	oddDown   = 0.99
)
