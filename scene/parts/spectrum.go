package parts

import (
	"cmp"
	_ "embed"
	"math"
	"path"
	"slices"
	"sync"

	"fathomlux/scene/curve"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
	"fathomlux/scene/photometry"
)

func (r *reader) spectrum(d *draft, s *Spectrum, _ Spectrum) {
	if given := d.Given(); len(given) == 1 {
		s.Power = r.power(d, given[0])
		if weighed, err := photometry.NewSpectrum(s.Power); err == nil {
			s.LmPerW = weighed.EfficacyOfRadiation()
		}
	}
}

// power reads the one source of a spectrum that is given.
func (r *reader) power(d *draft, source string) (power curve.Curve) {
	n := d.Get(source)
	switch source {
	case "illuminant": // one of the CIE's tables
		if name := n.OneOf(Illuminants()...); name != "" {
			power = illuminantTable().MustCurve("wavelength_nm", name)
		}
	case "band":
		return band(d.Open(source))
	case "table":
		if rows := d.columns("table", 1, "wavelength", "power"); rows != nil && !slices.Contains(rows[0], 0) {
			return checkedPower(n, rows[0], rows[1])
		}
	case "file":
		return r.powerFile(n)
	case "mix":
		return mix(d)
	}
	return power
}

// band reads a Gaussian by its peak and its full width at half the peak, nm.
func band(f key.Fields) curve.Curve {
	peakNm, widthNm := f.Value("peak", 0), f.Value("width", 0)
	if peakNm == 0 || widthNm == 0 {
		return curve.Curve{}
	}
	return visible(func(nm float64) float64 {
		x := (nm - peakNm) / widthNm
		return math.Exp(-4 * math.Ln2 * x * x)
	})
}

// visible writes a function of the wavelength in nm, which is finite, out every nanometre from 380 to 780 nm.
func visible(power func(nm float64) float64) curve.Curve {
	var x, y []float64
	for nm := photometry.LuminousFirstNm; nm <= photometry.LuminousLastNm; nm++ {
		x, y = append(x, nm), append(y, power(nm))
	}
	c, _ := curve.Linear(x, y)
	return c
}

// powerFile reads a CSV file with the columns wavelength_nm and power; of any other file it tells no content.
func (r *reader) powerFile(n document.Node) curve.Curve {
	name := n.Text()
	if name == "" {
		return curve.Curve{}
	}
	file := path.Clean(name)
	if c, ok := r.curves[file]; ok {
		return c
	}
	content, ok := r.content(n, name)
	if !ok {
		return curve.Curve{}
	}
	t, err := curve.ParseTable(string(content))
	nm, errNm := t.Column("wavelength_nm")
	power, errPower := t.Column("power")
	if err := cmp.Or(err, errNm, errPower); err != nil {
		n.Faultf("%s: %s; a spectrum has the columns wavelength_nm and power", name, oneLine(err))
		return curve.Curve{}
	}
	c := checkedPower(n, nm, power)
	if !c.Empty() {
		r.curves[file] = c
	}
	return c
}

// checkedPower returns the curve of power over wavelength, and complains at n where it is no spectrum.
func checkedPower(n document.Node, nm, power []float64) curve.Curve {
	const least = 1e-9 // less visible power is a slip, and would not bear being divided by
	c, err := curve.Linear(nm, power)
	odd := slices.IndexFunc(power, func(p float64) bool { return p < 0 || p > 1e9 })
	switch {
	case err != nil:
		n.Faultf("%s", oneLine(err))
	case len(nm) < 2:
		n.Faultf("a table needs two or more rows")
	case nm[0] < 100 || nm[len(nm)-1] > 5000:
		n.Faultf("wavelengths run from %g to %g; give them in nm, from 100 to 5000", nm[0], nm[len(nm)-1])
	case odd >= 0:
		n.Faultf("the power at %g nm is %g; give it on a scale from 0 to 1e9", nm[odd], power[odd])
	case visiblePower(c) < least:
		n.Faultf("there is no power at the whole nanometres from %g to %g", photometry.LuminousFirstNm,
			photometry.LuminousLastNm)
	default:
		return c
	}
	return curve.Curve{}
}

// visiblePower returns the power of a spectrum between 380 and 780 nm, by the trapezium rule every nanometre.
func visiblePower(c curve.Curve) float64 {
	sum := -(c.AtOrZero(photometry.LuminousFirstNm) + c.AtOrZero(photometry.LuminousLastNm)) / 2
	for nm := photometry.LuminousFirstNm; nm <= photometry.LuminousLastNm; nm++ {
		sum += c.AtOrZero(nm)
	}
	return sum
}

// mix adds other spectra by their shares of the radiant power between 380 and 780 nm.
func mix(d *draft) curve.Curve {
	n := d.Get("mix")
	var parts []curve.Curve
	var shares []float64
	sum := 0.0
	for _, f := range d.Rows("mix") {
		name, share := f.Need("spectrum"), f.Value("share", 0)
		if !name.Exists() || share == 0 {
			d.lost = true
			continue
		}
		parts, shares, sum = append(parts, d.refer(name).(Spectrum).Power), append(shares, share), sum+share
	}
	switch {
	case d.lost || len(parts) == 0:
		return curve.Curve{}
	case math.Abs(sum-1) > 0.005: // three times 0.333 will do
		n.Faultf("the shares sum to %.4g; they must sum to 1", sum)
		return curve.Curve{}
	}
	for i, p := range parts {
		shares[i] /= sum * visiblePower(p)
	}
	return visible(func(nm float64) (power float64) {
		for i, p := range parts {
			power += shares[i] * p.AtOrZero(nm)
		}
		return power
	})
}

//go:embed data/illuminants.csv
var illuminantsCSV string

// illuminantTable is the CIE's tables; source and unit are in the file's head.
var illuminantTable = sync.OnceValue(func() curve.Table { return curve.MustParseTable(illuminantsCSV) })

// Illuminants returns the names of the CIE's tables: of all columns but the first, which is the wavelength.
func Illuminants() []string { return illuminantTable().Names()[1:] }
