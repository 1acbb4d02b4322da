package main

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"slices"

	"fathomlux/render"
	"fathomlux/render/live"
	"fathomlux/render/output"
	"fathomlux/scene/unit"
)

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
