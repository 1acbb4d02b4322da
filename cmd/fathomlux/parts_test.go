package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene/parts"
)

// TestPartsOptions: the constructors hand over what was asked for, and do nothing else.
func TestPartsOptions(t *testing.T) {
	var got partsOptions
	keep := func(_ context.Context, _ streams, o partsOptions) error { got = o; return nil }
	for call, want := range map[string]partsOptions{
		"":                         {},
		"a.yaml --json":            {scene: "a.yaml", common: common{json: true}},
		"show lens":                {name: "lens", common: common{units: "metric", scale: 1, format: "png", call: "parts show lens"}},
		"show lens d/a.yaml -o x":  {name: "lens", scene: "d/a.yaml", common: common{out: "x", units: "metric", scale: 1, format: "png", call: "parts show lens a.yaml"}},
		"show show --quiet --json": {name: "show", common: common{units: "metric", scale: 1, format: "png", quiet: true, json: true, call: "parts show show"}},
	} {
		got = partsOptions{}
		c := newPartsCommand(streams{}, keep, keep)
		c.SetArgs(strings.Fields(call))
		if err := c.Execute(); err != nil || got != want {
			t.Errorf("%q: %+v, %v", call, got, err)
		}
	}
}

// TestEveryPartIsDescribed: each built-in part has figures, no two under one key, and a line for the list.
func TestEveryPartIsDescribed(t *testing.T) {
	at := shelf{catalogue: parts.Builtin()}
	if len(partKinds) != len(parts.Keys()) {
		t.Errorf("%d kinds of parts are listed, there are %d", len(partKinds), len(parts.Keys()))
	}
	for _, k := range partKinds {
		for _, name := range k.names(at.catalogue) {
			p := k.describe(at, name)
			keys := map[string]bool{"name": true, "about": true}
			for _, f := range p.figures {
				if f.Key != "" && keys[f.Key] || f.Key+f.Title == "" || f.Words() == "" {
					t.Errorf("%s %s: figure %+v", k.noun, name, f)
				}
				keys[f.Key] = true
			}
			if keys["fault"] || !strings.Contains(strings.TrimPrefix(p.line(), p.About), ", ") || p.Name != name {
				t.Errorf("%s %s: %v", k.noun, name, p.line())
			}
		}
	}
}

func TestPartsJSONIsWhole(t *testing.T) {
	var b bytes.Buffer
	if err := runParts(context.Background(), streams{Out: &b}, partsOptions{common: common{json: true}}); err != nil {
		t.Fatal(err)
	}
	var all map[string][]map[string]any
	if err := json.Unmarshal(b.Bytes(), &all); err != nil {
		t.Fatal(err)
	}
	for _, key := range parts.Keys() {
		if len(all[key]) == 0 {
			t.Errorf("no %s", key)
		}
	}
	if o := all["optics"][0]; o["name"] != "bare-120" || o["beam_deg"] != 120.0 || o["centre_cd_klm"] != 318.31 { // A20
		t.Errorf("%v", o)
	}
}

// TestLostFileIsSaid: the list goes on where a measured optic's file cannot be read, and show refuses it.
func TestLostFileIsSaid(t *testing.T) {
	lib := parts.Builtin()
	lib.Optics["lens"] = parts.Optic{Name: "lens", File: "lens.ies", Efficiency: 1}
	at := shelf{catalogue: lib, open: func(string) ([]byte, error) { return nil, errors.New("there is no such file") }}
	var b strings.Builder
	if err := answer.WriteText(&b, partsAnswer(at)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "optic lens: lens.ies: there is no such file") {
		t.Error("the list does not say so")
	}
	if _, err := drawOptic(context.Background(), at, "lens", render.Look{PixelFactor: 1}); err == nil || !strings.Contains(err.Error(), "there is no such file") {
		t.Errorf("show: %v", err)
	}
	if lines := opticCautions(at, "lens"); lines != nil {
		t.Errorf("cautions %v", lines)
	}
}
