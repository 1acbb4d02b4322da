// Package scene reads a whole scene file into SI units, with every name resolved and every fault at once: the tank and
// its water, the rails with their modules, the wiring, the goal.
// It knows no optics: what a beam does in the water is not its business, and nothing here computes light.
// Next: package document for the strict reader, package parts for what stands on a rail, package optics for the light.
package scene

import (
	"bytes"
	"regexp"
	"slices"
	"sync"

	"fathomlux/scene/finding"
	"fathomlux/scene/form"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// Scene is a whole scene file, in SI units and with every name resolved.
type Scene struct {
	File        string // as it was named by the caller
	Title       string
	Tank        Tank
	Rails       []Rail
	Wiring      Wiring
	Day         []Program // by channel, in the order of Wiring.Channels; nil where the scene has no day
	Ambient     Ambient
	Goal        Goal
	Catalogue   *parts.Catalogue
	FluxFactor  float64 // light of all modules over that of their tables, as a meter found it; 1 where the file names none
	Tolerance   Tolerance
	Maintenance Maintenance
	Warnings    []finding.Finding // legal but odd values, in the order of the file

	source []byte
	kept   *keeper // nil where the scene was not read
}

// NamedFile is a file that a scene names, by the name that it uses.
type NamedFile struct {
	Name    string
	Content []byte
}

// Files returns the files that the scene names, directly or through them, in the order in which they were read.
func (s *Scene) Files() []NamedFile {
	if s.kept == nil {
		return nil
	}
	s.kept.lock.Lock()
	defer s.kept.lock.Unlock()
	return append([]NamedFile(nil), s.kept.files...)
}

// Source returns the text of the scene's file as it was read.
func (s *Scene) Source() []byte { return bytes.Clone(s.source) }

// imperial and metric lengths as scene files have them.
var imperial, metric = regexp.MustCompile(`[0-9] ?(in|ft)\b`), regexp.MustCompile(`[0-9] ?(mm|cm|m)\b`)

// Units is the system of units that most lengths of the scene's file are written in.
func (s *Scene) Units() unit.System {
	if len(imperial.FindAll(s.source, -1)) > len(metric.FindAll(s.source, -1)) {
		return unit.US
	}
	return unit.Metric
}

// keeper opens files and keeps them as they were then. It is safe for several goroutines.
type keeper struct {
	open  Opener
	lock  sync.Mutex
	files []NamedFile
}

func (k *keeper) read(name string) ([]byte, error) {
	k.lock.Lock()
	defer k.lock.Unlock()
	for _, f := range k.files {
		if f.Name == name {
			return f.Content, nil
		}
	}
	data, err := k.open(name)
	if err == nil {
		k.files = append(k.files, NamedFile{Name: name, Content: data})
	}
	return data, err
}

// Open returns the content of a file beside the scene, such as the measured distribution that an optic names. The file
// may not lie outside the scene's folder.
func (s *Scene) Open(name string) ([]byte, error) {
	if s.kept == nil {
		return nil, errNoFiles
	}
	return s.kept.read(name)
}

// Tank is the vessel and what stands in it. Lengths are inside measures in metres.
type Tank struct {
	LengthM, WidthM, HeightM float64
	Water                    Water
	Walls                    Walls
	Outline                  form.Outline // seen from above; empty for the rectangle of length and width
	EdgeWalls                []Wall       // by edge of the outline as it was written, in place of the four sides
	FloorReflectance         float64      // diffuse, 0 to 1
	FloorPane                bool         // a bare bottom pane with a gap of air to what reflects under it, in place of a substrate
	Ground                   form.Ground
	Cover                    *Cover // nil for an open tank
	Obstacles                []Obstacle
	Things                   []Thing
	Plants                   []Plant
	Floating                 *Floating // nil where none floats
	LeafShare                float64   // what Plants and Floating have now of their leaf area, 0 to 1
}

// RimAboveWaterM returns the height of the rim above the water surface.
func (t Tank) RimAboveWaterM() float64 { return t.HeightM - t.Water.DepthM }

// Water is the body of water. Kind holds the preset with the scene's own numbers already put in.
type Water struct {
	DepthM          float64
	Kind            parts.Water
	TemperatureC    float64
	SalinityGPerKg  float64
	ExtraAbsorbPerM float64 // the same at all wavelengths, as a meter found it, 1/m; may be below 0, see LowestExtraPerM
	HalfDepthM      float64 // measured depth at which half the light is left; 0 where Kind holds instead
	Ripple          Ripple
}

// Ripple is how the water's surface moves: Slope is the standard deviation of its slope along x as along y, 0 for still
// water, LengthM that of the waves from crest to crest.
type Ripple struct{ Slope, LengthM float64 }

// Plant is a stand of leaves that are small, evenly spread in a box under water and of all directions alike.
// DensityPerM is one side of all leaves over the volume; Reflectance and Transmittance are of one leaf, both diffuse, 0
// to 1.
type Plant struct {
	Name                                    string
	Box                                     space.Box
	DensityPerM, Reflectance, Transmittance float64
}

// Floating are leaves on the surface that hide a share of an area, evenly; all of the surface where Area is zero.
type Floating struct {
	CoverShare float64
	Area       space.Area
}

// Maintenance is what is left of the light before anything is renewed. Lamp and Lid are shares, above 0 up to 1;
// YellowingPerM is what dissolved coloured matter absorbs more at 440 nm than in fresh water, 1/m.
type Maintenance struct{ Lamp, Lid, YellowingPerM float64 }

// Walls are the four sides of the tank. ThicknessM is that of the panes, 0 for panes that absorb nothing, and DirtShare
// what algae or lime on them take at each reflection, 0 to 1.
type Walls struct {
	Front, Back, Left, Right Wall
	ThicknessM, DirtShare    float64
}

// Has tells whether any of the walls is of one of some kinds.
func (w Walls) Has(kinds ...WallKind) bool {
	return slices.ContainsFunc([]Wall{w.Front, w.Back, w.Left, w.Right},
		func(one Wall) bool { return slices.Contains(kinds, one.Kind) })
}

// WallKind tells what a wall does with light.
type WallKind int

// The kinds of wall.
const (
	GlassWall   WallKind = iota // soda-lime glass, clear
	AcrylicWall                 // PMMA, clear
	PaintWall                   // on the glass without a gap: reflects Reflectance diffusely
	MirrorWall                  // reflects Reflectance as a mirror
	FilmWall                    // glass, a gap of air, and what reflects Reflectance diffusely behind it
	LowIronWall                 // soda-lime glass with little iron
)

// Wall is one side of the tank. Reflectance belongs to paint, film and mirror, 0 to 1, Gloss to paint.
type Wall struct {
	Kind        WallKind
	Reflectance float64
	Gloss       bool // whether light meets a smooth face of glass
}

// Cover is a pane between the modules and the water; AboveWaterM is its underside.
type Cover struct {
	Material                CoverMaterial
	ThicknessM, AboveWaterM float64
	DirtShare               float64 // that dust and salt take of light straight through, 0 to 1
	ScatteredShare          float64 // of the light through the pane that is thrown aside, 0 to 1
	Asymmetry               float64 // mean cosine of the angle by which
}

// CoverMaterial names what a cover is made of.
type CoverMaterial int

// The materials of a cover.
const (
	ClearGlass    CoverMaterial = iota // soda-lime float glass
	LowIronGlass                       // the same with little iron
	Acrylic                            // PMMA
	Polycarbonate                      // a solid sheet
	TwinWall                           // two panes of polycarbonate with a gap and webs between them
)

// Obstacle is an opaque box that casts a shadow.
type Obstacle struct {
	Name string
	Box  space.Box
}

// Thing stands in the tank: one solid, or several as one heap, which send Reflectance of their light back diffusely.
// A Frame is a rim or a brace, of whose own light nobody asks.
type Thing struct {
	Name        string
	Solids      []form.Solid
	Reflectance float64
	Frame       bool
}

// Rail is a bar along x with its modules, turned by TurnRad. Places along it are x of the unturned bar.
type Rail struct {
	Name        string
	Profile     parts.Profile
	LengthM     float64
	LeftM       float64 // x of the left end
	YM          float64
	AboveWaterM float64 // emitting face
	TiltRad     float64 // positive turns the beams towards the back
	TurnRad     float64 // about the rail's middle, from along x towards the back; see Frame and At
	Modules     []Module
	KeepOuts    []KeepOut
	HangersM    []float64 // x of its hangers, rising; none where the scene leaves them open
}

// KeepOut is a stretch of the rail where no module may sit, as x in the tank's axes, metres.
type KeepOut struct {
	FromM, ToM float64
	Why        string
}

// Wiring says how the modules are fed. A field is 0 or empty where the scene does not give it.
type Wiring struct {
	Driver       parts.Driver
	Strings      int
	Supplies     []Supply  // the drivers by what each feeds, in place of Driver and Strings
	Channels     []Channel // what dims together, at least one where there are modules; in the order of their modules
	HoursPerDay  float64
	TariffPerKWh parts.Money
	At           finding.Place // where it stands in the file; empty where the scene gives no wiring
}

// Supply is one driver of a scene; the modules that it feeds have its index.
type Supply struct {
	Name    string
	Driver  parts.Driver // without a name where the scene leaves it open
	Strings int          // 0 where the scene leaves them open
	Site    Site
	Channel string
}

// Site is where a driver hangs.
type Site int

// The sites of a driver.
const (
	UnknownSite Site = iota // taken as over the water, but not inside the hood
	HoodSite                // inside the hood
	WallSite                // on a wall, away from the water
	OutsideSite             // outside the hood, beside or above the tank
)

// Channel is what dims together; its modules have its index. Level is the share of full light, 0 to 1.
type Channel struct {
	Name    string
	Level   float64
	Dimming parts.Dimming
	Claims  []string // its modules in the words of the file; none where they follow from drivers or parts
}

// Ambient is the air of the room, its light, and the hood over the rails, nil for rails in free air.
type Ambient struct {
	AirC    float64
	LightLx float64 // that falls on the tank from all sides alike
	Hood    *Hood
}

// Hood is a closed box over all rails, open towards the tank. Its measures are outer ones.
type Hood struct {
	LengthM, WidthM, HeightM float64
	Inside                   float64       // share of the light that its inside reflects diffusely, 0 to 1
	AboveWaterM              float64       // of its lower edge, see HoodEdgeM; 0 for on the rim or the cover
	At                       finding.Place // where it was given
}

// PlaneRef is a plane DepthM below the surface: Name is "surface", "mid", "floor", or the depth as it was written.
type PlaneRef struct {
	Name   string
	DepthM float64
}

// Tolerance is how far what is built may be off what the scene says, to each side.
type Tolerance struct {
	FluxShare      float64 // of each module by itself: the half width of a flux bin, 0 to 1
	BeamShare      float64 // of all beam angles of one optic together, 0 to 1
	FieldShare     float64 // of the field angle of each optic that gives none, about the one that its beam angle makes, 0 to 1
	PositionM      float64 // of each module along its rail, after drilling
	HeightM        float64 // of each rail
	AbsorptionPerM float64 // extra absorption of the water, 1/m
	Given          bool    // whether the file names any
}

// UsualTolerance is what holds where a scene names none. Common practice, no published source.
func UsualTolerance() Tolerance {
	return Tolerance{FluxShare: 0.05, BeamShare: 0.05, FieldShare: 0.2, PositionM: 0.001, HeightM: 0.002,
		AbsorptionPerM: 0.05}
}
