package scene

import (
	"fathomlux/scene/drilling"
)

// Drilling lays out where to drill the rail. Dead modules are drilled too: they hang there.
func (r Rail) Drilling(o drilling.Options) (drilling.Plan, error) {
	in := drilling.Input{Name: r.Name, LengthM: r.LengthM, Profile: r.Profile}
	in.Modules = (&Scene{Rails: []Rail{r}}).Mounted()[0]
	for _, k := range r.KeepOuts {
		in.KeepOuts = append(in.KeepOuts, drilling.KeepOut{FromM: k.FromM - r.LeftM, ToM: k.ToM - r.LeftM, Why: k.Why})
	}
	return drilling.Make(in, o)
}
