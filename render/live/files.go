package live

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/unit"
)

// holds returns the version that a file holds, which is watched from then on. Where it holds none, other says what the
// page shows instead: that the scene has no rails, or its text with what is wrong with it.
func (h *Handler) holds(name string) (v *version, other object) {
	f := h.config.Files
	if v = h.held(name); v != nil || f == nil {
		return v, nil
	}
	text, err := f.Text(name)
	if err != nil {
		return nil, object{"file": name, "missing": err.Error()}
	}
	sc, unlit, marks := f.Parse(name, text)
	f.Watch(name)
	switch {
	case unlit:
		h.lock.Lock()
		h.disk[name] = numberOf(sc)
		h.lock.Unlock()
		if draft, _ := h.draftOf(name, nil); draft != nil { // lights that were chosen, and not saved
			return draft, nil
		}
		return nil, object{"file": name, "unlit": true}
	case sc == nil || h.Show(sc) != nil:
		return nil, object{"file": name, "text": string(text), "marks": marks}
	}
	return h.held(name), nil
}

// onDisk is the number of what a file holds, 0 where that is not known.
func (h *Handler) onDisk(name string) int64 {
	h.lock.Lock()
	defer h.lock.Unlock()
	return h.disk[cmp.Or(name, h.config.First)]
}

// draftOf is the unsaved work on a file that an earlier page has left, and when; nil where there is none.
func (h *Handler) draftOf(name string, holds *version) (*version, string) {
	text, at := h.config.Files.Kept(name)
	if len(text) == 0 {
		return nil, ""
	}
	sc, unlit, _ := h.config.Files.Parse(name, text)
	if sc == nil || unlit {
		return nil, ""
	}
	v, err := h.add(sc)
	if err != nil || v == holds {
		return nil, ""
	}
	return v, at
}

// files tells what the first screen offers: the scenes of the folder, and what the form of a new tank may choose.
func (h *Handler) files(w http.ResponseWriter, _ *http.Request) {
	folder, names := h.config.Files.List()
	answer(w, object{"folder": document.Visible(folder), "choices": h.config.Choices,
		"example": sketchOf(h.config.Files.Parse("example.yaml", []byte(scene.Starter()))),
		"scenes": each(names, func(name string) object {
			text, err := h.config.Files.Text(name)
			if err != nil {
				return object{"file": name, "faults": 1}
			}
			o := sketchOf(h.config.Files.Parse(name, text))
			o["file"] = name
			return o
		})})
}

// sketchOf is what a small plan shows of a scene: the tank, and where modules are.
func sketchOf(sc *scene.Scene, unlit bool, marks []Mark) object {
	if sc == nil {
		return object{"faults": len(marks)}
	}
	rails, modules := [][4]float64{}, [][2]float64{}
	for i := range sc.Rails {
		r := &sc.Rails[i]
		if unlit {
			break
		}
		fromX, fromY := r.At(r.LeftM)
		toX, toY := r.At(r.LeftM + r.LengthM)
		rails = append(rails, [4]float64{fromX, fromY, toX, toY})
		for _, m := range r.Modules {
			x, y := r.At(m.XM)
			modules = append(modules, [2]float64{x, y})
		}
	}
	return object{"title": document.Visible(sc.Title), "length_m": sc.Tank.LengthM, "width_m": sc.Tank.WidthM,
		"height_m": sc.Tank.HeightM, "inches": sc.Units() == unit.US, "outline_m": corners(sc.Tank.Outline.Corners),
		"rails_m": rails, "modules_m": modules, "unlit": unlit}
}

// create makes the scene file of a new tank.
func (h *Handler) create(t Tank) (any, error) {
	h.saving.Lock()
	defer h.saving.Unlock()
	name, marks, err := h.config.Files.Create(t)
	if err != nil || len(marks) > 0 {
		return object{"marks": marks}, err
	}
	return object{"file": name}, nil
}

type saveRequest struct {
	State     State  `json:"state"`
	Name      string `json:"name"`
	Overwrite bool   `json:"overwrite"`
	Own       string `json:"own"`  // the file that the page is of
	Disk      int64  `json:"disk"` // what that held when the page looked last
}

// save writes a state to a file. The page's own file may be overwritten as long as it holds what the page knows.
func (h *Handler) save(request saveRequest) (any, error) {
	sc, _, err := h.set(request.State)
	if err != nil {
		return nil, err
	}
	text, err := edit.Rewrite(sc)
	if err != nil {
		return nil, err
	}
	h.saving.Lock() // between the look at what the file holds and the writing nobody else may write
	defer h.saving.Unlock()
	f := h.config.Files
	own := f != nil && request.Name == request.Own && request.Disk != 0
	if own && !request.Overwrite {
		if now, err := f.Text(request.Own); err == nil {
			if onDisk, _, _ := f.Parse(request.Own, now); onDisk == nil || numberOf(onDisk) != request.Disk {
				return object{"conflict": true, "refused": request.Own + " was changed by another program since this page " +
					"looked at it; save under another name, or tick overwrite"}, nil
			}
		}
	}
	saved, err := h.config.Save(Draft{Name: request.Name, Overwrite: request.Overwrite || own, Scene: sc, Text: text})
	if err != nil || f == nil {
		return object{"saved": saved}, err
	}
	for _, name := range []string{request.Own, saved} {
		if name != "" {
			_ = f.Keep(name, nil) // the work is in the file now; a draft that stays is only offered again
		}
	}
	holds, _ := h.shown(saved, text)
	return object{"saved": saved, "disk": holds, "save_as": f.Free(saved)}, nil
}

// shown shows what a file holds now, watches it, and returns the number of its version.
func (h *Handler) shown(name string, text []byte) (number int64, err error) {
	sc, unlit, _ := h.config.Files.Parse(name, text)
	if sc == nil || unlit {
		return 0, errors.New("the scene has faults")
	}
	h.config.Files.Watch(name)
	return numberOf(sc), h.Show(sc)
}

type textRequest struct {
	File  string  `json:"file"`
	State *State  `json:"state"` // asks for the text of a state
	Text  *string `json:"text"`  // asks for what is wrong with a text
	Apply bool    `json:"apply"` // makes a version of it
}

// text gives a state as the text of its scene file, or says what is wrong with a text that was edited.
func (h *Handler) text(request textRequest) (any, error) {
	if request.State != nil {
		sc, _, err := h.set(*request.State)
		if err != nil {
			return nil, err
		}
		text, err := edit.Rewrite(sc)
		return object{"text": string(text)}, err
	}
	if request.Text == nil {
		return nil, errors.New("there is neither a state nor a text")
	}
	sc, unlit, marks := h.config.Files.Parse(request.File, []byte(*request.Text))
	out := object{"marks": marks, "sound": sc != nil}
	if unlit {
		out["sound"] = false
		out["marks"] = append(marks, Mark{Kind: "fault", Path: "rails", Text: "the scene has no rails"})
	} else if sc != nil && request.Apply {
		v, err := h.add(sc)
		if err != nil {
			return nil, err
		}
		out["version"] = v.number
	}
	return out, nil
}

type keepRequest struct {
	File  string `json:"file"`
	State *State `json:"state"` // nil to forget what was kept
}

// keep keeps the unsaved state of a page beside its file.
func (h *Handler) keep(request keepRequest) (any, error) {
	var text []byte
	if request.State != nil {
		sc, _, err := h.set(*request.State)
		if err != nil {
			return nil, err
		}
		if text, err = edit.Rewrite(sc); err != nil {
			return nil, err
		}
	}
	return object{"kept": request.State != nil}, h.config.Files.Keep(request.File, text)
}

type jobRequest struct {
	File   string            `json:"file"`
	State  *State            `json:"state"` // nil for what the file holds, which may have no rails
	Limits map[string]string `json:"limits"`
}

// job runs a job on a state, and answers with what it proposes. It ends with the request.
func (h *Handler) job(w http.ResponseWriter, r *http.Request) {
	do, known := h.config.Jobs[r.PathValue("name")]
	if !known {
		http.NotFound(w, r)
		return
	}
	h.streamed(w, r, func(request jobRequest, tell func(done, total int)) (object, error) {
		list, notes, err := h.propose(r, do, request, tell)
		return object{"previews": list, "notes": append([]string{}, notes...)}, err
	})
}

// streamed answers a request with lines: how far it is, and at last its answer, or why there is none.
func (h *Handler) streamed(w http.ResponseWriter, r *http.Request, do func(jobRequest, func(done, total int)) (object,
	error)) {
	var request jobRequest
	if !decode(w, r, &request) {
		return
	}
	w.Header().Set("Content-Type", "application/x-ndjson")
	out, lines := http.NewResponseController(w), json.NewEncoder(w)
	tell := func(v object) {
		_ = lines.Encode(v) // the other end may be gone
		_ = out.Flush()
	}
	tell(object{"done": 0, "total": 1})
	last, err := do(request, func(done, total int) { tell(object{"done": done, "total": total}) })
	if err != nil {
		last = object{"refused": document.Visible(err.Error())}
	}
	tell(last)
}

func (h *Handler) propose(r *http.Request, do Job, request jobRequest, tell func(done, total int)) ([]object, []string,
	error) {
	sc, err := h.asked(request)
	if err != nil {
		return nil, nil, err
	}
	found, notes, err := do(r.Context(), sc, request.Limits, tell)
	if err != nil {
		return nil, nil, err
	}
	var list []object
	for _, p := range found {
		one, _, marks := h.config.Files.Parse(request.File, p.Text)
		if one == nil {
			return nil, nil, fmt.Errorf("the scene that was found is faulty: %+v", marks)
		}
		v, err := h.add(one)
		if err != nil {
			return nil, nil, err
		}
		o := sketchOf(one, false, nil)
		o["name"], o["words"], o["figures"], o["met"], o["version"] = p.Name, p.Words, p.Figures, p.Met, v.number
		if glance, err := h.glance(v); err == nil {
			if g, err := glance(r.Context(), one, result.View{}); err == nil {
				o["light"] = thumbnailOf(g)
			}
		}
		list = append(list, o)
	}
	return list, notes, r.Context().Err()
}

// asked returns the scene that a job is about: that of a state, written and read anew, so that it is as in its text.
func (h *Handler) asked(request jobRequest) (*scene.Scene, error) {
	f := h.config.Files
	text, err := f.Text(request.File)
	if request.State != nil {
		var sc *scene.Scene
		if sc, _, err = h.set(*request.State); err == nil {
			text, err = edit.Rewrite(sc)
		}
	}
	if err != nil {
		return nil, err
	}
	sc, _, marks := f.Parse(request.File, text)
	if sc == nil {
		return nil, fmt.Errorf("%s has faults; the first is: %s", filepath.Base(request.File), marks[0].Text)
	}
	return sc, nil
}

// thumbnailCells is how many cells along and across a small plan has at most.
const thumbnailCells = 48

// thumbnailOf is the light on the plane of the goal in a few cells, as places in the table of colours.
func thumbnailOf(g *result.Glance) object {
	f := &g.Plane.Field
	values := result.Of(g.Goal.Shown, f.Illuminance, f.PPFD)
	scale := style.ScaleFor(values)
	nx, ny := min(f.Grid.NX, thumbnailCells), min(f.Grid.NY, thumbnailCells)
	cells := make([]int, 0, nx*ny)
	for y := range ny {
		for x := range nx {
			v := values[(2*y+1)*f.Grid.NY/(2*ny)*f.Grid.NX+(2*x+1)*f.Grid.NX/(2*nx)]
			share := (v - scale.Low) / max(scale.High-scale.Low, 1e-12)
			cells = append(cells, int(255*min(max(share, 0), 1)))
		}
	}
	colours := []string{}
	for c := range slices.Values(style.Light().Table()) {
		colours = append(colours, fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B))
	}
	return object{"nx": nx, "ny": ny, "cells": cells, "colours": colours}
}
