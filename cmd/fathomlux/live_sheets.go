package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"image/png"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/study"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/drill"
	"fathomlux/render/live"
	"fathomlux/render/output"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
)

// sheets are the answers that the page shows beside the light, each the pictures of a command with its tables, or its
// text where it has neither.
var sheets = map[string]func(context.Context, *job, live.Wanted) ([]output.File, error){
	"plan":    glancePicture(render.GlancePlan),
	"slice":   glancePicture(render.GlanceSlice),
	"view":    viewSheet,
	"compare": compareSheet,
	"wiring":  func(ctx context.Context, j *job, _ live.Wanted) ([]output.File, error) { return j.wire(ctx, streams{}) },
	"heat":    func(ctx context.Context, j *job, _ live.Wanted) ([]output.File, error) { return j.heat(ctx, streams{}) },
	"day": func(ctx context.Context, j *job, _ live.Wanted) ([]output.File, error) {
		if j.scene.Day == nil {
			return nil, errors.New("the scene has no day; give it one, such as day: [{on: 9:00, off: 19:00}]")
		}
		return j.sumDay(ctx, streams{})
	},
	"balance": func(ctx context.Context, j *job, _ live.Wanted) ([]output.File, error) {
		m, err := optics.Map(ctx, j.scene, j.request)
		if err != nil {
			return nil, err
		}
		files, err := mapFiles(ctx, m, j.scene, j.look, j.request.Workers)
		return slices.DeleteFunc(files, func(f output.File) bool { return !strings.HasPrefix(f.Name, "balance.") }), err
	},
	"drilling": func(_ context.Context, j *job, w live.Wanted) ([]output.File, error) {
		list, err := drillPlans(j.scene, w.Rail, false)
		if err != nil {
			return nil, err
		}
		paper, err := drill.PaperNamed(cmp.Or(w.Paper, "a4"))
		if err != nil {
			return nil, err
		}
		return (&drillOptions{}).files(j.scene, list, paper)
	},
	"money": func(ctx context.Context, j *job, _ live.Wanted) ([]output.File, error) {
		if _, err := j.wire(ctx, streams{}); err != nil || j.wired == nil {
			return nil, err
		}
		p := shopping{wired: *j.wired, bill: bill.Of(j.scene, j.groups, j.share), share: j.share}
		var b bytes.Buffer
		err := answer.WriteText(&b, append(p.answer(), j.wired.running()))
		return []output.File{{Name: "money.txt", Data: b.Bytes()}, csvFile("bill.csv", billTable(p.bill))}, err
	},
}

// glancePicture is the sheet of a picture of what is on the screen.
func glancePicture(draw func(*result.Glance, *scene.Scene, result.Quantity, render.Look) (render.Picture, error)) func(
	context.Context, *job, live.Wanted) ([]output.File, error) {
	return func(_ context.Context, j *job, w live.Wanted) ([]output.File, error) {
		file, err := draw(w.Glance, j.scene, w.Quantity, j.look)
		return []output.File{file}, err
	}
}

// compareSheet is what the command compare says of several settings of a scene.
func compareSheet(ctx context.Context, j *job, w live.Wanted) ([]output.File, error) {
	var list []study.Contender
	for i, sc := range w.Scenes {
		list = append(list, study.Contender{Name: w.Names[i], Scene: sc})
	}
	out, err := (&compareOptions{lightOptions: j.options.light.lightOptions}).compare(ctx, list)
	return out.files, err
}

// sheet draws a sheet of settings of a scene as they will be once they are saved.
func (o liveOptions) sheet(ctx context.Context, w live.Wanted) (output.File, error) {
	draw, known := sheets[w.Name]
	if !known {
		return output.File{}, fmt.Errorf("there is no sheet %q", w.Name)
	}
	for i := range w.Scenes {
		var err error
		if w.Scenes[i], err = asSaved(w.Scenes[i]); err != nil {
			return output.File{}, err
		}
	}
	j, err := o.sheetJob(w.Scenes[0], w.Format)
	if err != nil {
		return output.File{}, err
	}
	files, err := draw(ctx, j, w)
	if err != nil {
		return output.File{}, err
	}
	ends := []string{"svg", "txt"}
	if w.Format != "" {
		ends = []string{w.Format}
	}
	for _, end := range ends {
		if i := slices.IndexFunc(files, func(f output.File) bool { return strings.HasSuffix(f.Name, "."+end) }); i >= 0 {
			files[i].Name = sceneName(w.Scenes[0].File) + "-" + files[i].Name
			return files[i], nil
		}
	}
	return output.File{}, errors.New(strings.Join(append(j.missing, "there is nothing to draw"), "; "))
}

// sheetJob readies a job whose pictures have a format, SVG on the page.
func (o liveOptions) sheetJob(sc *scene.Scene, format string) (*job, error) {
	plain, err := plainReport(sc.File, fmt.Sprintf("--workers=%d", o.workers))
	if err != nil {
		return nil, err
	}
	if sc.Units() == unit.US {
		plain.units = "us"
	}
	plain.format = string(style.SVG)
	if format == string(style.PNG) || format == string(style.PDF) {
		plain.format = format
	}
	return plain.ready(sc, format == "")
}

// asSaved is a setting of a scene as it will be once it is saved, its file's text among it.
func asSaved(sc *scene.Scene) (*scene.Scene, error) {
	text, err := edit.Rewrite(sc)
	if err != nil {
		return nil, err
	}
	return scene.Parse(sc.File, text, sc.Open)
}

// eyeChoices are the named places to look from, as the page offers them.
func eyeChoices() (list []live.Choice) {
	says := map[string]string{"front": "the front", "sofa": "a sofa", "above": "above", "corner": "a corner"}
	for _, name := range namedEyes {
		list = append(list, live.Choice{Name: name, Says: says[name]})
	}
	return list
}

// What the page's pictures of the lit tank are made of; the rough one is there soon.
const (
	pageSize     = "960x600"
	roughSize    = "320x200"
	roughCellM   = 0.02
	roughPhotons = 1 << 17
)

// eyeAt are the options of the command view for a named eye.
func (o liveOptions) eyeAt(from, size string) (*viewOptions, error) {
	if !slices.Contains(namedEyes, from) {
		return nil, fmt.Errorf("there is no place %q to look from", from)
	}
	v := &viewOptions{from: from, across: usualAcross, size: size, room: usualRoomCd, cold: o.cold}
	v.workers = o.workers
	return v, nil
}

// seen is the lit tank as the page shows it: a small and rough picture soon, or the full one.
func (o liveOptions) seen(ctx context.Context, l live.Looked) (out live.Seen, err error) {
	v, err := o.eyeAt(l.From, pageSize)
	if err != nil {
		return out, err
	}
	if v.white = l.WhiteCd; l.Rough {
		v.size, v.cellM, v.photons = roughSize, roughCellM, roughPhotons
	}
	sc, err := asSaved(l.Scene)
	if err != nil {
		return out, err
	}
	g, err := v.glimpse(ctx, sc)
	if err != nil {
		return out, plainly(err)
	}
	out = live.Seen{WhiteCd: g.exposure.WhiteCd, Words: render.ViewWords(g.seen)}
	out.PNG, out.Notes, err = g.bare(sc.Units())
	return out, err
}

// bare is the picture without words around it, as PNG, and these words.
func (g glimpse) bare(u unit.System) ([]byte, []string, error) {
	pixels, notes := render.ViewPixels(g.seen, g.exposure)
	var b bytes.Buffer
	err := png.Encode(&b, pixels)
	return b.Bytes(), append([]string{g.words(u) + "."}, notes...), err
}

// viewSheet is the picture of the command view.
func viewSheet(ctx context.Context, j *job, w live.Wanted) ([]output.File, error) {
	v, err := liveOptions{workers: j.request.Workers, cold: j.request.Cold}.eyeAt(w.From, usualSize)
	if err != nil {
		return nil, err
	}
	_, files, err := v.draw(ctx, j.scene, j.look)
	return files, err
}
