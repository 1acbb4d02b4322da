package unit

import (
	"math"
	"strconv"
	"strings"
)

// The dimensions of a scene and of its parts, each by its name, the least amount that anybody can make or measure, the
// units of an example, and all units with what they are in the one of 1, in which Parse returns its values.
var (
	// An inch is 25.4 mm exactly, by definition of 1959.
	Length = define("length", 1e-6, "mm|m", "mm 1/1000, cm 1/100, m 1, in|inch|inches 254/10000, ft 3048/10000")
	// Cable is a length that people think of in metres.
	Cable        = &Dimension{Name: Length.Name, least: 1e-3, small: "m", units: Length.units}
	Area         = define("area", 1e-8, "mm2|cm2", "mm2 1/1e6, cm2 1/1e4, m2 1, in2 64516/1e8")
	Current      = define("current", 1e-4, "mA|A", "mA 1/1000, A 1")
	Voltage      = define("voltage", 0.1, "V", "V 1, mV 1/1000")
	Power        = define("power", 0.01, "W", "W 1, mW 1/1000, kW 1000")
	LuminousFlux = define("luminous flux", 1e-4, "lm", "lm 1, klm 1000")
	// A foot-candle is one lumen a square foot, and a foot is 0.3048 m exactly.
	Illuminance       = define("illuminance", 1e-4, "lx|klx", "lx|lux 1, klx 1000, fc 1/0.09290304")
	LuminousIntensity = define("luminous intensity", 1e-6, "cd", "cd 1, kcd 1000")
	PhotonFluxDensity = define("photon flux density", 1e-6, "umol/m2/s", "umol/m2/s 1")
	DailyLight        = define("daily light integral", 1e-6, "mol/m2/day", "mol/m2/day|mol/m2/d 1")
	Angle             = define("angle", 1e-6, "deg", "deg|\u00b0 pi/180, rad 1")
	// Temperature is in degrees Celsius, not in kelvins: every formula that needs kelvins adds 273.15 itself.
	Temperature       = define("temperature", 0, "C|F", "C|\u00b0C|degC 1, F|\u00b0F|degF 5/9 -32, K 1 -273.15")
	ThermalResistance = define("thermal resistance", 1e-3, "K/W", "K/W|C/W|\u00b0C/W 1")
	Duration          = define("duration", 1, "h", "h 3600, min 60, s 1")
	// Practical salinity units and parts a thousand are taken for grams a kilogram, which is right within 0.5 % for sea
	// water (reference-composition salinity 35.165 g/kg at 35 psu).
	Salinity = define("salinity", 1e-6, "g/kg", "g/kg 1, ppt 1, psu 1")
	// Wavelength is in nanometres, not in metres: every spectral table is written so.
	Wavelength    = define("wavelength", 1e-3, "nm", "nm 1, um 1000")
	SpectralSlope = define("spectral slope", 1e-9, "1/nm", "1/nm|/nm 1")
	// Attenuation is base e: absorption and scattering of water.
	Attenuation       = define("attenuation", 1e-9, "1/m", "1/m|/m 1, 1/cm|/cm 100, 1/ft|/ft 10000/3048")
	Conductivity      = define("conductivity", 0.01, "W/m/K", "W/m/K|W/(mK)|W/mK 1")
	RelativePerKelvin = define("relative change per kelvin", 1e-9, "%/K", "%/K|%/C 1/100, 1/K|/K 1")
	VoltagePerKelvin  = define("voltage per kelvin", 1e-9, "mV/K", "mV/K|mV/C 1/1000, V/K 1")
	DecayRate         = define("decay rate", 1e-10, "1/h", "1/h|/h 1, 1/kh|/kh 1/1000")
)

var named = map[string]*Dimension{}

// Named returns the dimension of a name, such as "luminous flux", and nil where there is none.
func Named(name string) *Dimension { return named[name] }

// define reads a row of the table above: each unit is its spellings, its factor, and what is added before.
func define(name string, least float64, examples, units string) *Dimension {
	d := &Dimension{Name: name, least: least}
	d.small, d.large, _ = strings.Cut(examples, "|")
	for unit := range strings.SplitSeq(units, ", ") {
		words := append(strings.Fields(unit), "0")
		num, den, _ := strings.Cut(words[1]+"/1", "/")
		den, _, _ = strings.Cut(den, "/")
		d.units = append(d.units, scale{names: strings.Split(words[0], "|"), shift: number(words[2]), num: number(num),
			den: number(den)})
	}
	named[name] = d
	return d
}

func number(text string) float64 {
	if text == "pi" {
		return math.Pi
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err) // a slip in the table
	}
	return v
}
