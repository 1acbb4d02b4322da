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
)

// eyeChoices are the named places to look from, as the page offers them.
func eyeChoices() (list []live.Choice) {
	says := map[string]string{"front": "the front", "sofa": "a sofa", "above": "above", "corner": "a corner"}
	for _, name := range namedEyes {
		list = append(list, live.Choice{Name: name, Says: says[name]})
	}
	return list
}

// Pixels of the page's pictures of the lit tank.
const (
	pageSize  = "960x600"
	roughSize = "320x200"
)

// eyeAt are the options of the command view for a named eye.
func (o liveOptions) eyeAt(from, size string) (*viewOptions, error) {
	if !slices.Contains(namedEyes, from) {
		return nil, fmt.Errorf("there is no place %q to look from", from)
	}
	v := &viewOptions{from: from, across: usualAcross, size: size, room: usualRoomCd}
	v.workers = o.workers
	return v, nil
}

// seen is the lit tank as the page shows it: a small and rough picture soon, or the full one.
func (o liveOptions) seen(ctx context.Context, l live.Looked) (out live.Seen, err error) {
	size := pageSize
	if l.Rough {
		size = roughSize
	}
	v, err := o.eyeAt(l.From, size)
	if err != nil {
		return out, err
	}
	v.rough, v.white = l.Rough, l.WhiteCd
	sc, err := asSaved(l.Scene)
	if err != nil {
		return out, err
	}
	g, err := v.glimpse(ctx, sc)
	if err != nil {
		return out, plainly(err)
	}
	pixels, notes := render.ViewPixels(g.seen, g.exposure)
	var b bytes.Buffer
	err = png.Encode(&b, pixels)
	return live.Seen{PNG: b.Bytes(), WhiteCd: g.exposure.WhiteCd, Words: render.ViewWords(g.seen),
		Notes: append([]string{g.words(sc.Units()) + "."}, notes...)}, err
}

// viewSheet is the picture of the command view.
func viewSheet(ctx context.Context, j *job, w live.Wanted) ([]output.File, error) {
	v, err := liveOptions{workers: j.request.Workers}.eyeAt(w.From, usualSize)
	if err != nil {
		return nil, err
	}
	_, files, err := v.draw(ctx, j.scene, j.look)
	return files, err
}
