package stack

import (
	_ "embed"
	"sync"

	"fathomlux/scene/curve"
)

//go:embed data/panes.csv
var panesCSV string

// panes is the absorption of glass panes against wavelength; source and spread stand in the file's head.
var panes = sync.OnceValue(func() curve.Table { return curve.MustParseTable(panesCSV) })

// Indices of the materials that panes and walls are made of, relative to air at 550 nm. Source: rounded from M. Rubin
// 1985, Solar Energy Materials 12, 275-288 (soda-lime glass 1.525) and N. Sultanova et al. 2009, Acta Physica
// Polonica A 116, 585-587 (PMMA 1.493, polycarbonate 1.585 at 588 nm); a step of 0.005 in the index moves the loss of a pane by 0.1 %.
const (
	glassIndex         = 1.52
	acrylicIndex       = 1.49
	polycarbonateIndex = 1.585
)

// acrylicPerM is the absorption of clear cast PMMA in the visible, 1/m base e: the order of 0.05 to 0.5 1/m, a value
// from memory; thin-sample tables give ten times as much, which is their noise.
const acrylicPerM = 0.2

// polycarbonatePerM makes a sheet of 6 mm lose some 2 to 3 % beside its reflections, 1/m base e: what data sheets of
// clear sheet have, 86 to 89 % in all. Common practice, no published source.
const polycarbonatePerM = 4.0

// Material is what a pane is made of: its index relative to air, and its absorption, 1/m base e, against wavelength
// in nm.
type Material struct {
	Index      float64
	AbsorbPerM func(nm float64) float64
}

// ClearGlass is soda-lime float glass.
func ClearGlass() Material { return glass("clear_glass_per_m") }

// LowIronGlass is soda-lime float glass with little iron.
func LowIronGlass() Material { return glass("low_iron_glass_per_m") }

// Acrylic is clear cast PMMA, grey in the visible.
func Acrylic() Material {
	return Material{Index: acrylicIndex, AbsorbPerM: func(float64) float64 { return acrylicPerM }}
}

// Polycarbonate is clear sheet of it, grey in the visible.
func Polycarbonate() Material {
	return Material{Index: polycarbonateIndex, AbsorbPerM: func(float64) float64 { return polycarbonatePerM }}
}

func glass(column string) Material {
	c := panes().MustCurve("wavelength_nm", column)
	return Material{Index: glassIndex, AbsorbPerM: c.AtOrZero}
}
