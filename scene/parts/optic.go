package parts

import (
	"slices"

	"fathomlux/scene/unit"
)

// optic reads an optic whose missing values o holds. It has either angles or the name of a measured file; what is given
// ousts the other kind of a base part.
func (r *reader) optic(d *draft, o Optic, _ *table[Optic]) Optic {
	if n := d.Get("file"); n.Exists() {
		r.lib.files[d.name] = n
	}
	o.Name, o.BeamOf = d.name, ""
	if d.Based && !slices.ContainsFunc([]string{"efficiency", "stray", "price", "file"}, d.Has) {
		o.BeamOf = d.Get("based_on").Text()
	}
	round := o.BeamAcrossRad == o.BeamRad
	d.Fill(&o)
	if d.Has("file") {
		o.BeamRad, o.BeamAcrossRad, o.FieldRad, o.FieldAcrossRad = 0, 0, 0, 0
		return o
	}
	if d.Has("beam") {
		o.File = ""
	}
	if o.BeamRad == 0 && o.File == "" && !d.lost {
		d.Demand("beam")
	}
	if round && !d.Has("beam_across") {
		o.BeamAcrossRad = o.BeamRad
	}
	if round && !d.Has("field_across") {
		o.FieldAcrossRad = 0
		if o.BeamAcrossRad == o.BeamRad {
			o.FieldAcrossRad = o.FieldRad
		}
	}
	d.checkAngles(o)
	return o
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
	d.Get(key).Faultf("a field angle of %s is not wider than the beam angle of %s", unit.Angle.Say(fieldRad),
		unit.Angle.Say(beamRad))
}
