package unit

import "math"

// The dimensions of a scene and of its parts. The values that Parse returns are in the unit that the comment names.
var (
	// Length is in metres.
	Length = &Dimension{Name: "length", per: "a", least: 1e-6, small: "mm", large: "m", units: []scale{
		{name: "mm", num: 1, den: 1000},
		{name: "cm", num: 1, den: 100},
		{name: "m", num: 1, den: 1},
		{name: "in", num: inch, den: 10000, also: []string{"inch"}},
		{name: "ft", num: 12 * inch, den: 10000},
	}}
	// Cable is a length in metres that people think of in metres too.
	Cable = &Dimension{Name: "length", per: "a", least: 1e-3, small: "m", units: Length.units}
	// Area is in square metres.
	Area = &Dimension{Name: "area", per: "an", least: 1e-8, small: "mm2", large: "cm2", units: []scale{
		{name: "mm2", num: 1, den: 1e6},
		{name: "cm2", num: 1, den: 1e4},
		{name: "m2", num: 1, den: 1},
		{name: "in2", num: inch * inch, den: 1e8},
	}}
	// Current is in amperes.
	Current = &Dimension{Name: "current", per: "a", least: 1e-4, small: "mA", large: "A", units: []scale{
		{name: "mA", num: 1, den: 1000}, {name: "A", num: 1, den: 1},
	}}
	// Voltage is in volts.
	Voltage = &Dimension{Name: "voltage", per: "a", least: 0.1, small: "V", units: []scale{
		{name: "V", num: 1, den: 1}, {name: "mV", num: 1, den: 1000},
	}}
	// Power is in watts.
	Power = &Dimension{Name: "power", per: "a", least: 0.01, small: "W", units: []scale{
		{name: "W", num: 1, den: 1}, {name: "mW", num: 1, den: 1000}, {name: "kW", num: 1000, den: 1},
	}}
	// LuminousFlux is in lumens.
	LuminousFlux = &Dimension{Name: "luminous flux", per: "a", least: 1e-4, small: "lm", units: []scale{
		{name: "lm", num: 1, den: 1}, {name: "klm", num: 1000, den: 1},
	}}
	// Illuminance is in lux. A foot-candle is one lumen a square foot, and a foot is 0.3048 m exactly.
	Illuminance = &Dimension{Name: "illuminance", per: "an", least: 1e-4, small: "lx", large: "klx", units: []scale{
		{name: "lx", num: 1, den: 1}, {name: "klx", num: 1000, den: 1}, {name: "fc", num: 1, den: 0.09290304},
	}}
	// LuminousIntensity is in candelas.
	LuminousIntensity = &Dimension{Name: "luminous intensity", per: "a", least: 1e-6, small: "cd", units: []scale{
		{name: "cd", num: 1, den: 1}, {name: "kcd", num: 1000, den: 1},
	}}
	// PhotonFluxDensity is in micromoles a square metre and second.
	PhotonFluxDensity = &Dimension{Name: "photon flux density", per: "a", least: 1e-6, small: "umol/m2/s", units: []scale{
		{name: "umol/m2/s", num: 1, den: 1},
	}}
	// DailyLight is in moles a square metre and day.
	DailyLight = &Dimension{Name: "daily light integral", per: "a", least: 1e-6, small: "mol/m2/day", units: []scale{
		{name: "mol/m2/day", num: 1, den: 1, also: []string{"mol/m2/d"}},
	}}
	// Angle is in radians.
	Angle = &Dimension{Name: "angle", per: "an", least: 1e-6, small: "deg", units: []scale{
		{name: "deg", num: math.Pi, den: 180, also: []string{"\u00b0"}}, {name: "rad", num: 1, den: 1},
	}}
	// Temperature is in degrees Celsius, not in kelvins: every formula that needs kelvins adds 273.15 itself.
	Temperature = &Dimension{Name: "temperature", per: "a", small: "C", large: "F", units: []scale{
		{name: "C", num: 1, den: 1, also: []string{"\u00b0C", "degC"}},
		{name: "F", shift: -32, num: 5, den: 9, also: []string{"\u00b0F", "degF"}},
		{name: "K", shift: -273.15, num: 1, den: 1},
	}}
	// ThermalResistance is in kelvins a watt.
	ThermalResistance = &Dimension{Name: "thermal resistance", per: "a", least: 1e-3, small: "K/W", units: []scale{
		{name: "K/W", num: 1, den: 1, also: []string{"C/W", "\u00b0C/W"}},
	}}
	// Duration is in seconds.
	Duration = &Dimension{Name: "duration", per: "a", least: 1, small: "h", units: []scale{
		{name: "h", num: 3600, den: 1}, {name: "min", num: 60, den: 1}, {name: "s", num: 1, den: 1},
	}}
	// Salinity is in grams of salt a kilogram of water. Practical salinity units and parts a thousand are taken for
	// the same, which is right within 0.5 % for sea water (reference-composition salinity 35.165 g/kg at 35 psu).
	Salinity = &Dimension{Name: "salinity", per: "a", least: 1e-6, small: "g/kg", units: []scale{
		{name: "g/kg", num: 1, den: 1}, {name: "ppt", num: 1, den: 1}, {name: "psu", num: 1, den: 1},
	}}
	// Wavelength is in nanometres, not in metres: every spectral table is written so.
	Wavelength = &Dimension{Name: "wavelength", per: "a", least: 1e-3, small: "nm", units: []scale{
		{name: "nm", num: 1, den: 1}, {name: "um", num: 1000, den: 1},
	}}
	// SpectralSlope is in 1/nm: how fast an absorption falls with wavelength.
	SpectralSlope = &Dimension{Name: "spectral slope", per: "a", least: 1e-9, small: "1/nm", units: []scale{
		{name: "1/nm", num: 1, den: 1, also: []string{"/nm"}},
	}}
	// Attenuation is in 1/m, base e: absorption and scattering of water.
	Attenuation = &Dimension{Name: "attenuation", per: "an", least: 1e-9, small: "1/m", units: []scale{
		{name: "1/m", num: 1, den: 1, also: []string{"/m"}},
		{name: "1/cm", num: 100, den: 1, also: []string{"/cm"}},
		{name: "1/ft", num: 10000, den: 12 * inch, also: []string{"/ft"}},
	}}
	// Conductivity is in watts a metre and kelvin.
	Conductivity = &Dimension{Name: "conductivity", per: "a", least: 0.01, small: "W/m/K", units: []scale{
		{name: "W/m/K", num: 1, den: 1, also: []string{"W/(mK)", "W/mK"}},
	}}
	// RelativePerKelvin is in 1/K: relative change a kelvin.
	RelativePerKelvin = &Dimension{Name: "relative change per kelvin", per: "a", least: 1e-9, small: "%/K", units: []scale{
		{name: "%/K", num: 1, den: 100, also: []string{"%/C"}}, {name: "1/K", num: 1, den: 1, also: []string{"/K"}},
	}}
	// VoltagePerKelvin is in volts a kelvin.
	VoltagePerKelvin = &Dimension{Name: "voltage per kelvin", per: "a", least: 1e-9, small: "mV/K", units: []scale{
		{name: "mV/K", num: 1, den: 1000, also: []string{"mV/C"}}, {name: "V/K", num: 1, den: 1},
	}}
	// DecayRate is in 1/h: how fast the flux of a die falls over its life.
	DecayRate = &Dimension{Name: "decay rate", per: "a", least: 1e-10, small: "1/h", units: []scale{
		{name: "1/h", num: 1, den: 1, also: []string{"/h"}}, {name: "1/kh", num: 1, den: 1000, also: []string{"/kh"}},
	}}
)

// inch is the inch in tenths of a millimetre: exactly 25.4 mm by definition of 1959.
const inch = 254
