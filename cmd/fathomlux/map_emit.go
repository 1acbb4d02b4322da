package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/output"
	"fathomlux/scene"
)

// emitsTo refuses a name for the scene as plain text that leads to another folder.
func (o *mapOptions) emitsTo() error {
	if o.emit != "" && (!filepath.IsLocal(o.emit) || o.emit != filepath.Base(o.emit) || o.emit == ".") {
		return fmt.Errorf("--emit: %q is no plain file name; give one such as scene.txt, and the folder with --out", o.emit)
	}
	return nil
}

// outFiles are the files of a map with what was asked for beside it: spectra at places, and the scene as plain text.
func (o *mapOptions) outFiles(ctx context.Context, m *result.Map, sc *scene.Scene, look render.Look,
	places []result.PlaceLight) ([]output.File, error) {
	files, err := mapFiles(ctx, m, sc, look, o.cores())
	if err == nil {
		files, err = withSpectra(ctx, files, places, m, look)
	}
	if err != nil || o.emit == "" {
		return files, err
	}
	var b bytes.Buffer
	err = optics.Emit(&b, sc, o.cold, m.Planes)
	return append(files, output.File{Name: o.emit, Data: b.Bytes()}), err
}
