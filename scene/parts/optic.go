package parts

import (
	"math"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// degree is one degree in radians.
const degree = math.Pi / 180

// The ranges of angles, a hair wider than the whole degrees in their messages, as a written degree is rounded.
var (
	anyBeamRad  = document.Range{Low: (1 - 1e-9) * degree, High: (179 + 1e-9) * degree}
	anyFieldRad = document.Range{Low: (1 - 1e-9) * degree, High: (180 + 1e-9) * degree}
	anyStray    = document.Range{High: 0.999, Percent: true}
)

func optics(r *reader) kind[Optic] {
	return kind[Optic]{
		key: keyOptics, parts: r.lib.Optics,
		fields: []string{"about", "based_on", "beam", "beam_across", "field", "field_across", "efficiency", "stray", "file", "price"},
		build: func(d *draft, o Optic, _ *table[Optic]) Optic {
			if n := d.Get("file"); n.Exists() {
				r.lib.files[d.name] = n
			}
			return d.optic(o)
		},
	}
}

// optic reads an optic whose missing values o holds.
func (d *draft) optic(o Optic) Optic {
	o.Name = d.name
	d.about(&o.About)
	d.readShape(&o)
	d.number("efficiency", "the share of the dies' flux that leaves the optic, such as 0.88", &o.Efficiency, anyShare)
	if n := d.Get("stray"); n.Exists() {
		o.StrayShare = n.Number(anyStray)
	}
	d.price(&o.Price)
	return o
}

// readShape reads either the angles or the name of a measured file; what is given ousts the other kind of a base part.
func (d *draft) readShape(o *Optic) {
	file := d.Get("file")
	if !file.Exists() {
		d.readAngles(o)
		return
	}
	for _, key := range []string{"beam", "beam_across", "field", "field_across"} {
		if n := d.Get(key); n.Exists() {
			n.Faultf("the file holds the shape of the light; take out %s or file", key)
		}
	}
	o.File = file.Text()
	o.BeamRad, o.BeamAcrossRad, o.FieldRad, o.FieldAcrossRad = 0, 0, 0, 0
}

func (d *draft) readAngles(o *Optic) {
	round := o.BeamAcrossRad == o.BeamRad
	if d.Get("beam").Exists() {
		o.File = ""
	}
	d.angle("beam", &o.BeamRad, anyBeamRad)
	if o.BeamRad == 0 && o.File == "" && !d.lost && !d.Get("beam").Exists() {
		d.WithHint("the beam angle, such as 40 deg, or a file with a measured distribution").Require("beam")
	}
	d.angle("field", &o.FieldRad, anyFieldRad)
	if round {
		o.BeamAcrossRad, o.FieldAcrossRad = o.BeamRad, o.FieldRad
	}
	d.angle("beam_across", &o.BeamAcrossRad, anyBeamRad)
	if round && o.BeamAcrossRad != o.BeamRad {
		o.FieldAcrossRad = 0
	}
	d.angle("field_across", &o.FieldAcrossRad, anyFieldRad)
	d.checkAngles(*o)
}

func (d *draft) angle(key string, rad *float64, r document.Range) {
	if n := d.Get(key); n.Exists() {
		*rad = n.Quantity(unit.Angle, r)
	}
}

// checkAngles complains about angles that do not go together.
func (d *draft) checkAngles(o Optic) {
	for _, key := range []string{"beam_across", "field", "field_across"} {
		if n := d.Get(key); n.Exists() && o.File != "" {
			n.Faultf("the file %s holds the shape of the light; give beam too to replace it", o.File)
			return
		}
	}
	d.checkField("field", o.FieldRad, o.BeamRad)
	if o.BeamAcrossRad != o.BeamRad || o.FieldAcrossRad != o.FieldRad {
		d.checkField("field_across", o.FieldAcrossRad, o.BeamAcrossRad)
	}
	switch along, across := d.Get("field"), d.Get("field_across"); {
	case o.FieldRad > 0 && o.FieldAcrossRad == 0 && !across.Exists():
		across.Faultf("missing; give it beside field, as the beam differs along and across")
	case o.FieldRad == 0 && o.FieldAcrossRad > 0 && !along.Exists():
		along.Faultf("missing; give it beside field_across")
	}
}

func (d *draft) checkField(key string, fieldRad, beamRad float64) {
	if fieldRad == 0 || beamRad == 0 || fieldRad > beamRad {
		return
	}
	d.Get(key).Faultf("a field angle of %s is not wider than the beam angle of %s", unit.Angle.Say(fieldRad), unit.Angle.Say(beamRad))
}
