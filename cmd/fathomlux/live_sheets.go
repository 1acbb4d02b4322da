package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/render/answer"
	"fathomlux/render/drill"
	"fathomlux/render/output"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/edit"
)

// sheets are the answers that the page shows beside the light, each the picture of a command, or its text where it has
// none.
var sheets = map[string]func(context.Context, *job) ([]output.File, error){
	"wiring": func(ctx context.Context, j *job) ([]output.File, error) { return j.wire(ctx, streams{}) },
	"heat":   func(ctx context.Context, j *job) ([]output.File, error) { return j.heat(ctx, streams{}) },
	"day": func(ctx context.Context, j *job) ([]output.File, error) {
		if j.scene.Day == nil {
			return nil, errors.New("the scene has no day; give it one, such as day: [{on: 9:00, off: 19:00}]")
		}
		return j.sumDay(ctx, streams{})
	},
	"balance": func(ctx context.Context, j *job) ([]output.File, error) {
		m, err := optics.Map(ctx, j.scene, j.request)
		if err != nil {
			return nil, err
		}
		files, err := mapFiles(ctx, m, j.scene, j.look, j.request.Workers)
		return slices.DeleteFunc(files, func(f output.File) bool { return !strings.HasPrefix(f.Name, "balance.") }), err
	},
	"drilling": func(_ context.Context, j *job) ([]output.File, error) {
		list, err := drillPlans(j.scene, "", false)
		if err != nil {
			return nil, err
		}
		paper, err := drill.PaperNamed("a4")
		if err != nil {
			return nil, err
		}
		return (&drillOptions{}).files(j.scene, list, paper)
	},
	"money": func(ctx context.Context, j *job) ([]output.File, error) {
		if _, err := j.wire(ctx, streams{}); err != nil || j.wired == nil {
			return nil, err
		}
		p := shopping{wired: *j.wired, bill: bill.Of(j.scene, j.groups, j.share), share: j.share}
		var b bytes.Buffer
		err := answer.WriteText(&b, append(p.answer(), j.wired.running()))
		return []output.File{{Name: "money.txt", Data: b.Bytes()}}, err
	},
}

// sheet draws a sheet of a setting of a scene as it will be once it is saved.
func (o liveOptions) sheet(ctx context.Context, sc *scene.Scene, name string) (data []byte, svg bool, err error) {
	draw, known := sheets[name]
	if !known {
		return nil, false, fmt.Errorf("there is no sheet %q", name)
	}
	j, err := o.sheetJob(sc)
	if err != nil {
		return nil, false, err
	}
	files, err := draw(ctx, j)
	if err != nil {
		return nil, false, err
	}
	for _, end := range []string{".svg", ".txt"} {
		if i := slices.IndexFunc(files, func(f output.File) bool { return strings.HasSuffix(f.Name, end) }); i >= 0 {
			return files[i].Data, end == ".svg", nil
		}
	}
	return nil, false, errors.New(strings.Join(append(j.missing, "there is nothing to draw"), "; "))
}

// sheetJob readies a job whose pictures are SVG.
func (o liveOptions) sheetJob(sc *scene.Scene) (*job, error) {
	saved, err := asSaved(sc)
	if err != nil {
		return nil, err
	}
	plain, err := plainReport(sc.File, fmt.Sprintf("--workers=%d", o.workers))
	if err != nil {
		return nil, err
	}
	plain.format = string(style.SVG)
	return plain.ready(saved)
}

// asSaved is a setting of a scene as it will be once it is saved, its file's text among it.
func asSaved(sc *scene.Scene) (*scene.Scene, error) {
	text, err := edit.Rewrite(sc)
	if err != nil {
		return nil, err
	}
	return scene.Parse(sc.File, text, sc.Open)
}
