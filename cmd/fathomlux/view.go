package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics/result"
	"fathomlux/optics/view"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

type viewOptions struct {
	common
	from, eye, toward string
	across, size      string
	white, room       float64
	adapted, show     string
	cellM             float64 // of floor and walls; 0 for the usual ones
	photons           int64   // for the walls; 0 for the usual number
	cold              bool
}

// namedEyes are where somebody looks from, the usual place first.
var namedEyes = []string{"front", "sofa", "above", "corner"}

// What is asked for where the call does not say.
const (
	usualRoomCd   = 2.0
	usualAcross   = "40 deg"
	usualSize     = "1280x800"
	viewCellM     = 0.008
	widestPicture = 8000
)

func newViewCommand(s streams) *cobra.Command {
	var o viewOptions
	c := &cobra.Command{
		Use:   "view SCENE",
		Short: "picture the lit tank as somebody sees it who stands or sits before it",
		Long: `Draws the tank from where an eye is, in its own colours, from the light that map shows: luminances of floor,
matt walls and things, refracted in the panes and the surface, mirrored under the surface and at glass, weakened by the
water, with what the water scatters towards the eye; the dies are as bright as they are. The eye is used to the colour of
the light on the floor, though not in full, or to daylight with --adapted daylight. Says which luminance is drawn as white.
With --show luminance the colours stand for luminances, by a logarithmic scale.

Says too which modules are in sight from there and how bright their dies look, how low a screen along the rail's edge
has to reach to hide them, and how much light of the tank comes to the eye. A die is taken as a disc of 8 mm.

Left out: waves, for the surface is drawn still, and what the lit tank throws into the room.`,
		Example: `fathomlux view scene.yaml
fathomlux view scene.yaml --from sofa --room 8
fathomlux view scene.yaml --show luminance
fathomlux view scene.yaml --eye "-400 mm, -900 mm, 600 mm" --toward "600 mm, 200 mm, 150 mm"`,
	}
	o.bind(c)
	f := c.Flags()
	choose(f, &o.from, "from", "where somebody looks from", namedEyes...)
	f.StringVar(&o.eye, "eye", "", "place of the eye instead, as x, y, z such as \"0 mm, -1500 mm, 300 mm\"; y counts "+
		"from the front pane, so that what is before it is below 0, and z from the floor")
	f.StringVar(&o.toward, "toward", "", "place that the eye looks toward (default the middle between floor and light)")
	f.StringVar(&o.across, "across", usualAcross, "angle from the left edge of the picture to the right one")
	f.StringVar(&o.size, "size", usualSize, "width and height of the picture in pixels")
	f.Float64Var(&o.white, "white", 0, "luminance that is drawn as white, cd/m2 (default one that suits the lit parts)")
	f.Float64Var(&o.room, "room", usualRoomCd, "luminance of the room about the tank, cd/m2")
	choose(f, &o.adapted, "adapted", "the light that the eye is used to", "tank", "daylight")
	choose(f, &o.show, "show", "what the colours stand for: those of the tank, or luminances in cd/m2", "colours",
		showLuminance)
	bindRatedFlux(c, &o.cold)
	return command(s, c, &o.given, o.run)
}

// showLuminance is the other form of the picture.
const showLuminance = "luminance"

func (o *viewOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	look, err := o.look()
	_, errAsked := o.asked(sc)
	if err := errors.Join(err, errAsked); err != nil {
		return err
	}
	g, files, err := o.draw(ctx, sc, look)
	if err != nil {
		return err
	}
	sentence := fmt.Sprintf("%s: white is %.3g cd/m².", g.words(look.Units), g.exposure.WhiteCd)
	return o.hand(ctx, s, outcome{command: "view", scenes: []*scene.Scene{sc}, parts: answer.Answer{
		glareParts(sc, &g.seen.Glare, look.Units),
		fields("eye_mm", pointMM(g.asked.Eye), "toward_mm", pointMM(g.asked.Toward), "white_cd_m2", g.exposure.WhiteCd,
			"room_cd_m2", o.room), verdictParts(sentence)}, quiet: verdictParts(sentence), files: files})
}

// glimpse is what is seen of a scene, what was asked for, and how it becomes a picture.
type glimpse struct {
	seen     *result.Seen
	asked    view.Options
	exposure render.Exposure
}

func (o *viewOptions) glimpse(ctx context.Context, sc *scene.Scene) (g glimpse, err error) {
	if g.asked, err = o.asked(sc); err != nil {
		return g, err
	}
	if g.seen, err = view.Compute(ctx, sc, g.asked); err != nil {
		return g, fmt.Errorf("%s: %w", sc.File, err)
	}
	e := render.Exposure{WhiteCd: o.white, Luminance: o.show == showLuminance}
	if o.adapted == "daylight" {
		e.Adapted = colour.D65
	}
	g.exposure = e.Usual(g.seen)
	return g, nil
}

func (o *viewOptions) draw(ctx context.Context, sc *scene.Scene, look render.Look) (g glimpse, files []output.File,
	err error) {
	if g, err = o.glimpse(ctx, sc); err != nil {
		return g, nil, err
	}
	name := "view"
	if o.eye == "" {
		name += "-" + o.from
	}
	if g.exposure.Luminance {
		name += "-" + showLuminance
	}
	files, err = render.View(ctx, g.seen, name, cmp.Or(sc.Title, "Tank"), g.words(look.Units), g.exposure, look)
	return g, files, err
}

// words tell from where it is seen.
func (g glimpse) words(u unit.System) string {
	eye := g.asked.Eye
	return fmt.Sprintf("Seen from x %s, y %s, z %s", u.Length(eye.X), u.Length(eye.Y), u.Length(eye.Z))
}

func pointMM(p space.Point) []float64 {
	return []float64{millimetres(p.X), millimetres(p.Y), millimetres(p.Z)}
}

// asked turns the flags into what is to be computed; all that is wrong with them is told at once.
func (o *viewOptions) asked(sc *scene.Scene) (v view.Options, err error) {
	v = view.Options{RoomCd: o.room, StepM: cmp.Or(o.cellM, viewCellM), Photons: o.photons, Workers: o.cores(),
		Cold: o.cold}
	var errs [5]error
	v.AcrossRad, errs[0] = quantityIn("--across", o.across, unit.Angle, 5*math.Pi/180, 120*math.Pi/180)
	if n, err := fmt.Sscanf(o.size, "%dx%d", &v.Width, &v.Height); n != 2 || err != nil ||
		min(v.Width, v.Height) < 16 || max(v.Width, v.Height) > widestPicture {
		errs[1] = fmt.Errorf("--size: %.40q is not usable; write pixels as in %s, 16 to %d", o.size, usualSize, widestPicture)
	}
	if !(o.room >= 0 && o.room <= 1e5) || !(o.white >= 0 && o.white <= 1e9) {
		errs[2] = errors.New("--room and --white are luminances in cd/m2, from 0 to 100000 and to 1e9")
	}
	t := &sc.Tank
	top := t.HeightM
	for _, r := range sc.Rails {
		top = max(top, t.Water.DepthM+r.AboveWaterM+r.Profile.HeightM)
	}
	v.Toward = space.Point{X: t.LengthM / 2, Y: t.WidthM / 2, Z: top / 2}
	if o.toward != "" {
		v.Toward, errs[3] = place("--toward", o.toward)
	}
	if o.eye != "" {
		v.Eye, errs[4] = place("--eye", o.eye)
	} else {
		v.Eye = namedEye(o.from, t, top*float64(v.Width)/float64(v.Height))
	}
	return v, errors.Join(errs[:]...)
}

// namedEye is where somebody looks from: so far away that a picture with the usual angle holds all of the tank, and
// things before it that would be wideM wide.
func namedEye(from string, t *scene.Tank, wideM float64) space.Point {
	middle := space.Point{X: t.LengthM / 2, Y: t.WidthM / 2, Z: t.Water.DepthM / 2}
	far := 1.6 * max(t.LengthM, wideM)
	switch from {
	case "sofa":
		return space.Point{X: middle.X - 0.5*far, Y: -max(2, 1.6*far), Z: middle.Z + 0.2}
	case "above":
		return space.Point{X: middle.X, Y: middle.Y - 0.45*far, Z: t.HeightM + 0.9*far}
	case "corner":
		return space.Point{X: -0.55 * far, Y: -0.75 * far, Z: t.HeightM + 0.15*far}
	}
	return space.Point{X: middle.X, Y: -far, Z: middle.Z + 0.1}
}

// place reads three lengths.
func place(flag, text string) (p space.Point, err error) {
	words := strings.Split(text, ",")
	if len(words) != 3 {
		return p, fmt.Errorf("%s: %.60q is not a place; write x, y, z as in \"0 mm, -1500 mm, 300 mm\"", flag, text)
	}
	for i, to := range []*float64{&p.X, &p.Y, &p.Z} {
		if *to, err = quantityIn(flag, strings.TrimSpace(words[i]), unit.Length, -100, 100); err != nil {
			return p, err
		}
	}
	return p, nil
}
