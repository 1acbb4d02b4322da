package water

// refractiveIndex returns the refractive index of water relative to air, as the law of refraction at the surface
// needs it. Fitted to 400-700 nm, 0-30 degrees Celsius, 0-35 g/kg; it runs on smoothly beyond.
// Source: X. Quan, E. S. Fry 1995, Applied Optics 34, 3477-3480. It is within 4e-5 of M. Daimon, A. Masumura 2007,
// Applied Optics 46, 3811-3820, over 400-700 nm at 20 degrees Celsius.
func refractiveIndex(nm, temperatureC, salinityGPerKg float64) float64 {
	const (
		n0, n1, n2, n3, n4 = 1.31405, 1.779e-4, -1.05e-6, 1.6e-8, -2.02e-6
		n5, n6, n7, n8, n9 = 15.868, 0.01155, -0.00423, -4382.0, 1.1455e6
	)
	t, s := temperatureC, salinityGPerKg
	salt := (n1 + n2*t + n3*t*t) * s
	return n0 + salt + n4*t*t + (n5+n6*s+n7*t)/nm + n8/(nm*nm) + n9/(nm*nm*nm)
}

// airIndex returns the refractive index of air relative to vacuum.
// Source: P. E. Ciddor 1996, Applied Optics 35, 1566-1573, dry air at 15 degrees Celsius and 101325 Pa.
func airIndex(nm float64) float64 {
	waves := 1e6 / (nm * nm) // (1/um)^2
	return 1 + 1e-8*(5792105/(238.0185-waves)+167917/(57.362-waves))
}
